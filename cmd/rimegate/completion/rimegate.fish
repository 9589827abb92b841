# Completion of rimegate for fish. What is read is inserted escaped, never evaluated.
function __rimegate_complete
    set -l line (commandline -opc)
    set -l word (string replace -r '^["\']' '' -- (commandline -ct) | string replace -a '\\' '')
    set -l found ($line[1] --generate-bash-completion $line[2..-1] "$word" 2>/dev/null)
    if contains -- :files $found
        __fish_complete_path "$word"
        return
    end
    printf '%s\n' $found
end
complete -c rimegate -f -a '(__rimegate_complete)'

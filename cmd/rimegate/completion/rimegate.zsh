#compdef rimegate
# Completion of rimegate for zsh. What is read is inserted quoted, never evaluated.
_rimegate() {
  local line
  local -a found shown
  for line in "${(@f)$("${(Q)words[1]}" --generate-bash-completion "${(@Q)words[2,CURRENT-1]}" "${(Q)PREFIX}" 2>/dev/null)}"; do
    if [[ $line == :files ]]; then
      _files
      return
    fi
    [[ -n $line ]] || continue
    found+=("${line%%$'\t'*}")
    shown+=("${line/$'\t'/  -- }")
  done
  (( $#found )) && compadd -l -d shown -a found
}
if [[ $funcstack[1] == _rimegate ]]; then
  _rimegate "$@"
else
  compdef _rimegate rimegate
fi

# Completion of rimegate for bash.
#
# Names come out of a journal that others may have written in: nothing that is
# read here is ever evaluated, and what is inserted is quoted.
_rimegate() {
  local i word glued=0 quote='' known
  local -a line=()
  # bash takes --flag=value and 06:40 apart; they are put together again.
  for ((i = 0; i <= COMP_CWORD; i++)); do
    word=${COMP_WORDS[i]}
    case $word in [=:]*) ((i > 1)) && glued=1 ;; esac
    if ((i < COMP_CWORD)); then
      case $word in '~/'*) word=$HOME${word#'~'} ;; esac
      word=${word#[\"\']} word=${word%[\"\']}
    fi
    if ((glued)); then line[${#line[@]} - 1]+=$word; else line+=("$word"); fi
    glued=0
    case $word in *[=:]) ((i > 0)) && glued=1 ;; esac
  done
  word=${line[${#line[@]} - 1]}
  known=${word%"${COMP_WORDS[COMP_CWORD]}"}
  case ${COMP_WORDS[COMP_CWORD]} in [=:]) known=$word ;; esac
  case $word in [\"\']*) quote=${word:0:1} word=${word:1} ;; esac
  line[${#line[@]} - 1]=${word//\\/}
  COMPREPLY=()
  while IFS= read -r word; do
    if [[ $word == :files ]]; then
      compopt -o default 2>/dev/null
      continue
    fi
    word=${word%%$'\t'*}
    [[ -n $known ]] && word=${word#"$known"}
    case $quote in
      \") case $word in *[\$\`\"\\!]*) continue ;; esac ;;
      \') case $word in *\'*) continue ;; esac ;;
      *) case $word in *[!a-zA-Z0-9_.,=:/@%+-]*) printf -v word %q "$word" ;; esac ;;
    esac
    COMPREPLY+=("$word")
  done < <("${line[0]}" --generate-bash-completion "${line[@]:1}" 2>/dev/null)
}
complete -F _rimegate rimegate

# SPDX-License-Identifier: GPL-3.0-or-later
# Completion of perpend for bash.
_perpend() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}
    local command=${COMP_WORDS[1]}
    COMPREPLY=()
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W 'new sweep solve ridge report help --help --version' -- "$word"))
        return
    fi
    case $before in
    --along) COMPREPLY=($(compgen -W 'X Y both' -- "$word")); return ;;
    --format) COMPREPLY=($(compgen -W 'html pdf text' -- "$word")); return ;;
    --paper) COMPREPLY=($(compgen -W 'a4 letter' -- "$word")); return ;;
    --unit) COMPREPLY=($(compgen -W 'mm in' -- "$word")); return ;;
    --toward)
        COMPREPLY=($(compgen -W 'back back-right right front-right front front-left left back-left' \
            -- "$word"))
        return ;;
    esac
    local options=
    case $command in
    new) options='--ascii --help' ;;
    sweep) options='--log --resume --fresh --ascii --help' ;;
    solve) options='--json --no-drawing --ascii --seed --picture --report --help' ;;
    ridge) options='--lean-right --lean-back --lean --toward --bit --corner --stepover --along
        --depth --goal --arm --step --readings --machine --unit --picture --json --ascii --help' ;;
    report) options='--format --output --paper --who --note --force --log --from --help' ;;
    help) COMPREPLY=($(compgen -W 'new sweep solve ridge report help' -- "$word")); return ;;
    esac
    if [[ $word == -* ]]; then
        COMPREPLY=($(compgen -W "$options" -- "$word"))
    else
        COMPREPLY=($(compgen -f -- "$word"))
    fi
}
complete -o filenames -F _perpend perpend

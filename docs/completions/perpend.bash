# SPDX-License-Identifier: GPL-3.0-or-later
# Completion of perpend for bash.

# Those of the words that begin with what was typed.
_perpend_words() {
    mapfile -t COMPREPLY < <(compgen -W "$1" -- "${COMP_WORDS[COMP_CWORD]}")
}

_perpend() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}
    local command=${COMP_WORDS[1]}
    COMPREPLY=()
    if [ "$COMP_CWORD" -eq 1 ]; then
        _perpend_words 'new sweep solve ridge board log report page help --help --version'
        return
    fi
    case $before in
    --along) _perpend_words 'X Y both'; return ;;
    --format)
        if [ "$command" = log ]; then
            _perpend_words 'jsonl csv job machine'
        else
            _perpend_words 'html pdf text'
        fi
        return ;;
    --kind) _perpend_words 'note crash bit move repair'; return ;;
    --paper) _perpend_words 'a4 letter'; return ;;
    --zero) _perpend_words 'highest centre'; return ;;
    --unit) _perpend_words 'mm in'; return ;;
    --toward)
        _perpend_words 'back back-right right front-right front front-left left back-left'
        return ;;
    esac
    local options=
    case $command in
    new) options='--ascii --help' ;;
    sweep) options='--log --who --resume --fresh --ascii --help' ;;
    solve) options='--json --more --ascii --picture --help' ;;
    ridge) options='--lean-right --lean-back --lean --toward --bit --corner --stepover --along
        --depth --goal --arm --step --readings --machine --unit --picture --json --ascii --help' ;;
    board)
        options='--add --zero --picture --json --ascii --help'
        if [ "$COMP_CWORD" -eq 2 ] && [[ $word != -* ]]; then
            _perpend_words 'survey face'
            return
        fi ;;
    log)
        options='--log --machine --since --until --last --kind --sweep --why --along --all --format
            --quick --force --ascii --help'
        if [ "$COMP_CWORD" -eq 2 ] && [[ $word != -* ]]; then
            _perpend_words 'list machines show note correct measured rename import export check backup'
            return
        fi ;;
    report) options='--format --output --paper --full --who --note --force --log --from --help' ;;
    page) options='--serve --lan --port --force --help' ;;
    help) _perpend_words 'new sweep solve ridge board log report page help'; return ;;
    esac
    if [[ $word == -* ]]; then
        _perpend_words "$options"
    else
        mapfile -t COMPREPLY < <(compgen -f -- "$word")
    fi
}
complete -o filenames -F _perpend perpend

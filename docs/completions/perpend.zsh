#compdef perpend
# SPDX-License-Identifier: GPL-3.0-or-later
# Completion of perpend for zsh.
_perpend() {
    local -a commands
    commands=(
        'new:asks about the machine and writes its file'
        'sweep:at the machine, until it is good'
        'solve:readings in a file to the answer'
        'ridge:what a lean, bit, stepover and feed leave'
        'board:is it flat, how deep to face it, which way'
        'log:what was done when'
        'report:one job as a document'
        'page:perpend for any browser'
        'help:more about one command'
    )
    if (( CURRENT == 2 )); then
        _describe command commands
        _arguments '--help[what perpend is]' '--version[which perpend this is]'
        return
    fi
    local bearings='(back back-right right front-right front front-left left back-left)'
    shift words
    (( CURRENT-- ))
    case $words[1] in
    new)
        _arguments \
            '--ascii[no characters beyond ASCII]' \
            '--help[options]' \
            '1:machine file:_files'
        ;;
    sweep)
        _arguments \
            '--log[the log to keep]:log:_files' \
            '--who[who does the job]:name:' \
            '--resume[go on without asking]' \
            '--fresh[begin anew without asking]' \
            '--ascii[no characters beyond ASCII]' \
            '--help[options]' \
            '1:machine file:_files'
        ;;
    solve)
        _arguments \
            '--json[the answer for programs]' \
            '--more[all that there is to say, on as many rows as it takes]' \
            '--ascii[no characters beyond ASCII]' \
            '--picture[draw it as well]:picture:_files' \
            '--help[options]' \
            '1:machine file:_files' '2:readings:_files'
        ;;
    ridge)
        _arguments \
            '--lean-right[how far the top leans right]:mm/m or thou/ft:' \
            '--lean-back[how far the top leans back]:mm/m or thou/ft:' \
            '--lean[how far the top leans]:mm/m or thou/ft:' \
            "--toward[toward where]:bearing:$bearings" \
            '--bit[diameter of the bit]:length:' \
            '--corner[corner radius of the bit]:length:' \
            '--stepover[distance of the passes]:length or share:' \
            '--along[feed direction]:feed:(X Y both)' \
            '--depth[depth of cut]:length:' \
            '--goal[the ridge you are content with]:length:' \
            '--arm[length of the sweep arm]:length:' \
            '--step[smallest step of the gauge]:length:' \
            '--readings[readings in one sweep]:number:' \
            '--machine[take the rest from a machine file]:machine file:_files' \
            '--unit[unit of bare numbers]:unit:(mm in)' \
            '--picture[draw it as well]:picture:_files' \
            '--json[the answer for programs]' \
            '--ascii[no characters beyond ASCII]' \
            '--help[options]'
        ;;
    board)
        _arguments \
            '--add[type touches]' \
            '--zero[where Z is set]:place:(highest centre)' \
            '--picture[a map of the board]:picture:_files' \
            '--json[the answer for programs]' \
            '--ascii[no characters beyond ASCII]' \
            '--help[options]' \
            '1:what:(survey face)' '2:machine file:_files' '3:touches or readings:_files'
        ;;
    log)
        _arguments \
            '--log[another log]:log:_files' \
            '--machine[only this machine]:name:' \
            '--since[from this day on]:date:' \
            '--until[up to and with this day]:date:' \
            '--last[only the last so many]:number:' \
            '--kind[what a note is about]:kind:(note crash bit move repair)' \
            '--sweep[the sweep of a reading to correct]:name:' \
            '--why[what was wrong with it]:text:' \
            '--along[which way a measured cut was fed]:way:(X Y)' \
            '--all[export every job]' \
            '--format[of the export]:format:(jsonl csv job machine)' \
            '--quick[check the file only]' \
            '--force[replace a backup]' \
            '--ascii[no characters beyond ASCII]' \
            '--help[options]' \
            '1:part:(list machines show note correct measured rename import export check backup)' '*:job, text or file:_files'
        ;;
    page)
        _arguments '--serve[hand it out by HTTP]' '--lan[to the whole local network]' \
            '--port[another port]:port:' '--force[write over a file]' '--help[say more]' '1:file:_files'
        ;;
    report)
        _arguments \
            '--format[what to write]:format:(html pdf text)' \
            '--output[where to]:report:_files' \
            '--paper[paper of a PDF]:paper:(a4 letter)' \
            '--full[with what the page rests on]' \
            '--who[who did the job]:name:' \
            '--note[anything worth knowing]:text:' \
            '--force[replace a file that is there]' \
            '--log[another log]:log:_files' \
            '--from[from two files instead of the log]' \
            '--help[options]' \
            '1:job or machine file:_files' '2:readings:_files'
        ;;
    help)
        _describe command commands
        ;;
    esac
}
_perpend "$@"

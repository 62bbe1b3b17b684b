# SPDX-License-Identifier: GPL-3.0-or-later
# Completion of perpend for fish.
set -l commands new sweep solve ridge report help
set -l bearings 'back back-right right front-right front front-left left back-left'

complete -c perpend -n "not __fish_seen_subcommand_from $commands" -f
complete -c perpend -n "not __fish_seen_subcommand_from $commands" -a new -d 'Asks about the machine'
complete -c perpend -n "not __fish_seen_subcommand_from $commands" -a sweep -d 'At the machine, until it is good'
complete -c perpend -n "not __fish_seen_subcommand_from $commands" -a solve -d 'Readings in a file to the answer'
complete -c perpend -n "not __fish_seen_subcommand_from $commands" -a ridge -d 'What a lean, bit, stepover and feed leave'
complete -c perpend -n "not __fish_seen_subcommand_from $commands" -a report -d 'One job as a document'
complete -c perpend -n "not __fish_seen_subcommand_from $commands" -a help -d 'More about one command'
complete -c perpend -n "not __fish_seen_subcommand_from $commands" -l version -d 'Which perpend this is'
complete -c perpend -l help -d 'Options'
complete -c perpend -n '__fish_seen_subcommand_from help' -f -a "$commands"

complete -c perpend -n '__fish_seen_subcommand_from sweep' -l log -r -F -d 'The log to keep'
complete -c perpend -n '__fish_seen_subcommand_from sweep' -l resume -d 'Go on without asking'
complete -c perpend -n '__fish_seen_subcommand_from sweep' -l fresh -d 'Begin anew without asking'
complete -c perpend -n '__fish_seen_subcommand_from new sweep' -l ascii -d 'No characters beyond ASCII'

complete -c perpend -n '__fish_seen_subcommand_from solve' -l no-drawing -d 'Steps without the drawing'
complete -c perpend -n '__fish_seen_subcommand_from solve' -l seed -x -d 'Begin the random trials elsewhere'
complete -c perpend -n '__fish_seen_subcommand_from solve ridge' -l json -d 'The answer for programs'
complete -c perpend -n '__fish_seen_subcommand_from solve ridge' -l ascii -d 'No characters beyond ASCII'

complete -c perpend -n '__fish_seen_subcommand_from solve ridge' -l picture -r -F -d 'Draw it as well'
complete -c perpend -n '__fish_seen_subcommand_from solve' -l report -r -F -d 'Write it up as well'

set -l report '__fish_seen_subcommand_from report'
complete -c perpend -n $report -l format -x -a 'html pdf text' -d 'What to write'
complete -c perpend -n $report -l output -r -F -d 'Where to'
complete -c perpend -n $report -l paper -x -a 'a4 letter' -d 'Paper of a PDF'
complete -c perpend -n $report -l who -x -d 'Who did the job'
complete -c perpend -n $report -l note -x -d 'Anything worth knowing'
complete -c perpend -n $report -l force -d 'Replace a file that is there'
complete -c perpend -n $report -l log -r -F -d 'Another log'
complete -c perpend -n $report -l from -d 'From two files instead of the log'

set -l ridge '__fish_seen_subcommand_from ridge'
complete -c perpend -n $ridge -f
complete -c perpend -n $ridge -l lean-right -x -d 'How far the top leans right'
complete -c perpend -n $ridge -l lean-back -x -d 'How far the top leans back'
complete -c perpend -n $ridge -l lean -x -d 'How far the top leans'
complete -c perpend -n $ridge -l toward -x -a "$bearings" -d 'Toward where'
complete -c perpend -n $ridge -l bit -x -d 'Diameter of the bit'
complete -c perpend -n $ridge -l corner -x -d 'Corner radius of the bit'
complete -c perpend -n $ridge -l stepover -x -d 'Distance of the passes'
complete -c perpend -n $ridge -l along -x -a 'X Y both' -d 'Feed direction'
complete -c perpend -n $ridge -l depth -x -d 'Depth of cut'
complete -c perpend -n $ridge -l goal -x -d 'The ridge you are content with'
complete -c perpend -n $ridge -l arm -x -d 'Length of the sweep arm'
complete -c perpend -n $ridge -l step -x -d 'Smallest step of the gauge'
complete -c perpend -n $ridge -l readings -x -d 'Readings in one sweep'
complete -c perpend -n $ridge -l machine -r -F -d 'Take the rest from a machine file'
complete -c perpend -n $ridge -l unit -x -a 'mm in' -d 'Unit of bare numbers'

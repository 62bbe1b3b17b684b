/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The compass above the question for a reading. */
#include <stdio.h>

#include "cli/sweep/session.h"
#include "text/compass.h"

/* What stands at a bearing: "0.55 x2", "-" for one that is gone past, "?" for the one asked for. */
static void mark_place(
    const struct session *session, size_t place, size_t asked, struct compass_mark *mark)
{
    struct read_at at = session_read_at(session, session_sweep(session), place);
    char mean[READING_TEXT], times[24] = "";
    mark->bearing = session->turn.bearings[place];
    if (at.count > 1)
        snprintf(times, sizeof times, " x%zu", at.count);
    if (at.count > 0)
        snprintf(mark->shown, sizeof mark->shown, "%.15s%s%s",
            session_reading(session, at.mean, false, mean), times, place == asked ? " ?" : "");
    else
        snprintf(mark->shown, sizeof mark->shown, "%s",
            place == asked                 ? "?"
            : session->turn.skipped[place] ? "-"
                                           : ".");
}

/* On a terminal the compass stands above the question and is drawn anew in its place. Elsewhere the
   answer shows it, once. */
void session_draw_turn(struct session *session, size_t asked)
{
    struct compass_mark marks[TURN_BEARINGS];
    struct buffer drawing = {0};
    if (session->drawn || !dialogue_redraws(session->dialogue))
        return;
    for (size_t i = 0; i < session->turn.count; i++)
        mark_place(session, i, asked, &marks[i]);
    if (!compass_draw(&drawing, marks, session->turn.count))
        for (size_t i = 0; i < session->turn.count; i++)
            buffer_addf(&drawing, "%-12s %-12s%s", SHOWN_BEARING(session, marks[i].bearing),
                marks[i].shown, i % 2 == 1 || i + 1 == session->turn.count ? "\n" : "  ");
    dialogue_redraw(session->dialogue, buffer_text(&drawing));
    session->drawn = true;
    buffer_finish(&drawing);
}

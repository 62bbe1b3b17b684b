/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sweep is begun: what it is called, where the carriage stands for it, and at which bearings it is
   read. */
#include "cli/sweep/session.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <perpend/status.h>

#include "files/names.h"

#define PLACES_WANTED 3

/* The sweeps of the measurement at hand, those with readings, and of the one before; how many
   measurements came before it. */
struct so_far {
    const struct perpend_sweep *sweeps, *before; /* of the record's job */
    size_t count, places, count_before, measurements_before;
};

/* The same figures were typed; whether places are far enough apart, the uncertainty tells. */
static bool swept(const struct so_far *so_far, double x, double y)
{
    for (size_t i = 0; i < so_far->count; i++)
        if (hypot(so_far->sweeps[i].x - x, so_far->sweeps[i].y - y) < 1e-6)
            return true;
    return false;
}

static struct so_far sweeps_so_far(const struct session *session)
{
    const struct perpend_job *job = &session->record.job;
    struct so_far so_far = {.sweeps = job->sweeps};
    for (size_t i = 0; i < job->sweep_count; i++) {
        so_far.places += swept(&so_far, job->sweeps[i].x, job->sweeps[i].y) ? 0 : 1;
        so_far.count++;
        if (job->sweeps[i].did_kind != PERPEND_DID_UNSTATED)
            so_far = (struct so_far){
                .sweeps = &job->sweeps[i + 1],
                .before = so_far.sweeps,
                .count_before = so_far.count,
                .measurements_before = so_far.measurements_before + 1,
            };
    }
    return so_far;
}

/* An earlier answer of this job told the bed's slope, which does not change with the spindle. */
static bool bed_is_known(const struct session *session)
{
    for (size_t i = 0; i < session->record.answer_count; i++)
        if (log_bed_separated(&session->record.answers[i]))
            return true;
    return session_machine(session)->setup.bed_faced;
}

/* ---- where the carriage stands ------------------------------------------------------------- */

struct carriage {
    const struct session *session;
    const struct so_far *so_far;
    double x, y; /* mm */
    bool enough; /* to no other place */
};

/* Whether a third place is as good as in line with the two before. */
static bool in_line(const struct so_far *so_far, double x, double y)
{
    if (so_far->count < 2 || so_far->places != 2)
        return false;
    const struct perpend_sweep *a = &so_far->sweeps[0], *b = &so_far->sweeps[1];
    double base = hypot(b->x - a->x, b->y - a->y);
    double area = fabs((b->x - a->x) * (y - a->y) - (b->y - a->y) * (x - a->x));
    return base > 0 && area < 0.1 * base * base;
}

static bool parse_place(const char *typed, enum perpend_unit unit, double *x, double *y)
{
    char first[64];
    size_t length = strcspn(typed, " ;");
    if (length >= sizeof first)
        return false;
    snprintf(first, sizeof first, "%.*s", (int)length, typed);
    if (length > 0 && first[length - 1] == ',') /* "150, 20" */
        first[length - 1] = '\0';
    return perpend_length_parse(first, unit, x) == PERPEND_OK &&
           perpend_length_parse(typed + length + strspn(typed + length, " ;"), unit, y) ==
               PERPEND_OK &&
           fabs(*x) <= 1e5 && fabs(*y) <= 1e5;
}

static bool check_place(const char *answer, void *context, char *complaint, size_t size)
{
    struct carriage *carriage = context;
    carriage->enough =
        carriage->so_far->count > 0 && (same_word(answer, "enough") || same_word(answer, "no"));
    if (carriage->enough)
        return true;
    enum perpend_unit unit = session_machine(carriage->session)->unit;
    enum session_sentence wrong =
        !parse_place(answer, unit, &carriage->x, &carriage->y) ? PLACE_UNKNOWN
        : swept(carriage->so_far, carriage->x, carriage->y)    ? PLACE_SWEPT
        : in_line(carriage->so_far, carriage->x, carriage->y)  ? PLACE_IN_LINE
                                                               : SESSION_SENTENCES;
    if (wrong == SESSION_SENTENCES)
        return true;
    snprintf(complaint, size, "%s", session_sentences[wrong]);
    return false;
}

/* Where it stood in the measurement before is offered, and 0 for the first place, which any zero will do
   for; where it stands now nobody but the person knows. */
static enum heard ask_place(struct carriage *carriage)
{
    const struct session *session = carriage->session;
    const struct so_far *so_far = carriage->so_far;
    char standing[64] = "", answer[ANSWER_SIZE];
    bool inch = session_machine(session)->unit == PERPEND_UNIT_INCH;
    const struct perpend_sweep *before =
        so_far->count < so_far->count_before ? &so_far->before[so_far->count] : NULL;
    struct buffer place = {0};
    if (before != NULL || so_far->count == 0) {
        double per = inch ? PERPEND_MM_PER_INCH : 1;
        buffer_add_number(&place, before != NULL ? before->x / per : 0, inch ? 2 : 0);
        buffer_add(&place, " ");
        buffer_add_number(&place, before != NULL ? before->y / per : 0, inch ? 2 : 0);
        snprintf(standing, sizeof standing, "%s", buffer_text(&place));
    }
    buffer_finish(&place);
    struct question question = {.standing = standing[0] != '\0' ? standing : NULL,
        .back_undoes = true,
        .check = check_place,
        .context = carriage};
    return session_ask(session, question, PLACE_PROMPT, PLACE_HELP, NULL, answer);
}

/* ---- beginning ----------------------------------------------------------------------------- */

/* "Sweep 2:" The sweep at hand, by the name in `draft_name`, comes into the log when there is something
   to keep. */
static enum next begin(struct session *session, double x, double y, int64_t instead_of)
{
    char name[sizeof session->draft_name];
    session->draft = (struct log_sweep){.name = session->draft_name, .x = x, .y = y};
    session->drafted = true;
    session->at = 0;
    session->drawn = false;
    session->asked = NOWHERE;
    session->instead_of = instead_of;
    memset(session->turn.skipped, 0, sizeof session->turn.skipped);
    bool found = session_find_bearings(session);
    snprintf(name, sizeof name, "%s", session->draft_name);
    name[0] = (char)toupper((unsigned char)name[0]);
    dialogue_settle(session->dialogue);
    dialogue_space(session->dialogue);
    if (found)
        session_say(session, SWEEP_BEGINS,
            SLOTS(SLOT_TEXT("sweep", name), SLOT_IF("again", instead_of != 0)));
    return found ? NEXT_READ : NEXT_BEARINGS;
}

/* "sweep 2", "sweep 2, place 3" */
static void name_sweep(struct session *session, const struct so_far *so_far, const char *part)
{
    char *name = session->draft_name;
    int length = so_far->measurements_before == 0
                     ? snprintf(name, sizeof session->draft_name, "as found")
                     : snprintf(name, sizeof session->draft_name, "sweep %zu",
                           so_far->measurements_before + 1);
    if (so_far->count > 0)
        snprintf(name + length, sizeof session->draft_name - (size_t)length, ", %s %zu", part,
            so_far->count + 1);
}

enum next session_begin_add(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    const struct log_sweep *last = session_read_sweep(session);
    name_sweep(session, &so_far, "turn");
    return begin(session, last->x, last->y, 0);
}

enum next session_begin_sweep(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    const struct log_sweep *last = session_read_sweep(session);
    bool known = bed_is_known(session);
    struct carriage carriage = {.session = session, .so_far = &so_far};
    carriage.x = last != NULL ? last->x : 0;
    carriage.y = last != NULL ? last->y : 0;
    if (!session_machine(session)->setup.bed_faced) {
        dialogue_space(session->dialogue);
        session_say(session,
            known              ? BED_KNOWN
            : so_far.count > 0 ? MOVE_CARRIAGE
                               : BED_AS_FOUND,
            SLOTS(SLOT_COUNT("places", so_far.count), SLOT_COUNT("number", so_far.places + 1)));
    }
    if (!known) {
        enum heard heard = ask_place(&carriage);
        if (heard == HEARD_UNDO)
            return so_far.count > 0 ? session_step_back(session) : session_step_out(session);
        if (heard != HEARD_ANSWER || carriage.enough)
            return session_next(session, heard, NEXT_ANSWER, NEXT_SWEEP);
    }
    name_sweep(session, &so_far, "place");
    return begin(session, carriage.x, carriage.y, 0);
}

enum next session_begin_again(struct session *session)
{
    const struct log_sweep *sweep = session_read_sweep(session);
    snprintf(session->draft_name, sizeof session->draft_name, "%s", sweep->name);
    session->drift_said = false; /* what was said of it was said of doubtful readings */
    return begin(session, sweep->x, sweep->y, sweep->id);
}

/* A reading of this place, or of one before it, does not fit: it is best read again before the carriage
   leaves. Enter lets it stand. */
static enum next ask_doubt(struct session *session, const struct perpend_doubt *doubt)
{
    struct words words = session_words(session);
    struct buffer said = {0}, reading = {0};
    char line[ANSWER_SIZE];
    doubt_add(&words, &said, session_machine(session), doubt);
    session_add_doubtful(session, &reading, doubt);
    dialogue_space(session->dialogue);
    session_say(session, PLACE_DOUBTFUL, SLOTS(SLOT_TEXT("doubt", buffer_text(&said))));
    const bool all = doubt->kind == PERPEND_DOUBT_CLOSURE;
    const struct slot *slots =
        SLOTS(SLOT_IF("all", all), SLOT_TEXT("reading", buffer_text(&reading)));
    session_say(session, PLACE_CORRECT, slots);
    enum heard heard = session_ask(session, (struct question){.may_be_empty = true},
        DOUBT_READING_PROMPT, DOUBT_READING_HELP, slots, line);
    enum next next = NEXT_PLACE;
    if (heard == HEARD_UNDO)
        next = session_step_back(session);
    else if (heard != HEARD_ANSWER)
        next = session_next(session, heard, NEXT_PLACE, NEXT_PLACE);
    else if (line[0] == '\0')
        session->let_stand = session_sweep(session)->id;
    else if (session_take_doubtful(session, all ? "" : buffer_text(&reading), line, &next) &&
             (next == NEXT_READ || next == NEXT_DID) && session->asked == NOWHERE)
        next = NEXT_PLACE;
    buffer_finish(&said);
    buffer_finish(&reading);
    return next;
}

enum next session_offer_place(struct session *session)
{
    struct so_far so_far = sweeps_so_far(session);
    const struct log_sweep *sweep = session_sweep(session);
    struct perpend_doubt doubt = {.kind = PERPEND_DOUBT_NONE};
    if (bed_is_known(session) || so_far.places >= PLACES_WANTED || sweep->cut_count > 1)
        return NEXT_ANSWER;
    if (session->let_stand != sweep->id &&
        perpend_place_check(&session_machine(session)->setup, &session->record.job, sweep->in_job,
            &doubt) != PERPEND_OK)
        return session_next(session, HEARD_FAIL, NEXT_PLACE, NEXT_PLACE);
    if (doubt.kind != PERPEND_DOUBT_NONE)
        return ask_doubt(session, &doubt);
    return NEXT_SWEEP;
}

/* ---- bearings, from what was read ---------------------------------------------------------- */

void session_bearings_of(struct session *session, const struct log_sweep *sweep)
{
    bool aside = log_sweep_counted(sweep) == 0;
    session->turn = (struct turn){.count = 0};
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts || aside)
            turn_add(&session->turn, sweep->readings[i].reading.bearing);
}

static bool covers(const struct turn *turn, const struct log_sweep *sweep)
{
    for (size_t i = 0; i < sweep->reading_count; i++)
        if (sweep->readings[i].counts &&
            turn_find(turn, sweep->readings[i].reading.bearing) == turn->count)
            return false;
    return true;
}

/* Those of the sweep before, be it set aside, when all that was read in this one is among them; fewer than
   three are what was there of a sweep that was taken back. Else two readings tell four from eight. */
bool session_find_bearings(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    size_t count = session->record.sweep_count;
    if (session->turn.count > 0)
        return true;
    for (size_t i = session->drafted || count == 0 ? count : count - 1; i > 0; i--)
        if (session->record.sweeps[i - 1].reading_count > 0) {
            session_bearings_of(session, &session->record.sweeps[i - 1]);
            break;
        }
    bool found = session->turn.count >= 3 && covers(&session->turn, sweep);
    for (size_t spread = 4; !found && spread <= 8 && log_sweep_counted(sweep) >= 2; spread += 4) {
        turn_spread(&session->turn, spread);
        found = covers(&session->turn, sweep);
    }
    if (!found)
        session->turn.count = 0;
    return found;
}

/* ---- bearings, as typed -------------------------------------------------------------------- */

/* Bearings parted by blanks or commas; the complaint's choice, -1 for none. */
static int parse_bearings(const char *typed, struct turn *turn, char word[32])
{
    *turn = (struct turn){.count = 0};
    for (const char *at = typed + strspn(typed, " ,;"); *at != '\0'; at += strspn(at, " ,;")) {
        double bearing;
        size_t length = strcspn(at, " ,;");
        snprintf(word, 32, "%.*s", (int)length, at);
        if (length >= 32 || perpend_bearing_parse(word, &bearing) != PERPEND_OK)
            return 0;
        if (turn_find(turn, bearing) < turn->count)
            return 1;
        if (turn->count == TURN_BEARINGS)
            return 2;
        turn->bearings[turn->count++] = bearing; /* as typed: it may go either way round */
        at += length;
    }
    return turn->count < 3 ? 3 : -1;
}

bool session_take_bearings(struct session *session, const char *typed, struct buffer *complaint)
{
    struct turn own;
    char word[32];
    bool four = same_word(typed, "4") || same_word(typed, "four");
    if (four || same_word(typed, "8") || same_word(typed, "eight")) {
        turn_spread(&session->turn, four ? 4 : 8);
        return true;
    }
    int why = parse_bearings(typed, &own, word);
    if (why >= 0) {
        session_fill(session, complaint, NO_BEARING,
            SLOTS(SLOT_CHOICE("why", why), SLOT_TEXT("typed", word)));
        return false;
    }
    if (turn_sort(&own))
        session_say(session, PUT_IN_ORDER, NULL);
    session->turn = own;
    return true;
}

static bool check_bearings(const char *answer, void *context, char *complaint, size_t size)
{
    struct buffer why = {0};
    bool good = session_take_bearings(context, answer, &why);
    snprintf(complaint, size, "%s", buffer_text(&why));
    buffer_finish(&why);
    return good;
}

enum next session_ask_bearings(struct session *session)
{
    const struct log_sweep *sweep = session_sweep(session);
    struct turn four;
    char answer[ANSWER_SIZE];
    turn_spread(&four, 4);
    struct question question = {
        .standing = covers(&four, sweep) ? "4" : "8",
        .check = check_bearings,
        .context = session,
    };
    enum heard heard = session_ask(session, question, HOW_MANY, HOW_MANY_HELP, NULL, answer);
    /* what was read before stays, wherever it was */
    for (size_t i = 0; heard == HEARD_ANSWER && i < sweep->reading_count; i++)
        if (sweep->readings[i].counts)
            turn_add(&session->turn, sweep->readings[i].reading.bearing);
    bool placed = session->drafted && !session_machine(session)->setup.bed_faced;
    return session_next(session, heard, NEXT_READ, placed ? NEXT_SWEEP : NEXT_BEARINGS);
}

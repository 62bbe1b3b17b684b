/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What ridge a lean leaves, and what a goal asks of arm and gauge, without a sweep. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "draw/sheets.h"
#include "files/keys.h"
#include "page/page.h"
#include "page/reply.h"
#include "text/ridge_answer.h"

/* The top leans so far, in the unit of slope that goes with the machine's: mm/m, thou/ft. */
struct asked {
    double right, back;
};
static const struct range leans = {-500.0, 500.0};
static const struct key asked_keys[] = {
    {"perpend", true, read_nothing, 0, NULL, NULL},
    {"right", false, read_number, offsetof(struct asked, right), &leans, NULL},
    {"back", false, read_number, offsetof(struct asked, back), &leans, NULL},
    {0},
};
static const struct mapping asked_mapping = {"lean", "{back: 6.7}", asked_keys};

static void put_answer(
    struct json *json, const struct perpend_machine *machine, const struct ridge_question *question)
{
    struct ridge_answer answer;
    enum perpend_status status = ridge_answer_make(question, &answer);
    if (status != PERPEND_OK) {
        json_add(json, "error: null, needs: %s", perpend_status_text(status));
        return;
    }
    json_add(json, "error: null, needs: null");
    struct words words = reply_wording(question->unit);
    char *figures = ridge_answer_json(question, &answer);
    json_put_json(json, "answer", figures);
    free(figures);
    ridge_answer_words(&words, question, &answer);
    reply_words(json, "text", &words);
    reply_figure(json, "chart", "chart",
        sheet_of_ridge(machine, question->has_lean ? &question->lean : NULL));
}

char *page_ridge(const char *machine_text, const char *lean)
{
    struct json json = {.compact = true};
    struct perpend_machine machine;
    struct asked asked = {NAN, NAN};
    struct fault fault = {0};
    struct ridge_question question = {.readings = 4};
    gsl_set_error_handler_off();
    perpend_machine_init(&machine);
    json_add(&json, "{");
    if (!machine_file_parse(machine_text, strlen(machine_text), "machine", &machine, &fault)) {
        reply_fault(&json, "machine", &fault);
    } else if (reply_read(lean, &asked_mapping, &asked, &json)) {
        const double unit =
            machine.unit == PERPEND_UNIT_INCH ? PERPEND_THOU_PER_FOOT : PERPEND_MM_PER_METRE;
        ridge_ask_of(&machine, &question);
        question.has_lean = !isnan(asked.right) || !isnan(asked.back);
        question.lean = (struct perpend_slope){
            isnan(asked.right) ? 0 : asked.right / unit, isnan(asked.back) ? 0 : asked.back / unit};
        put_answer(&json, &machine, &question);
    }
    perpend_machine_finish(&machine);
    json_add(&json, "}");
    return json_take(&json);
}

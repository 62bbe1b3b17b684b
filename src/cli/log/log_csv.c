/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The readings that count, as CSV (RFC 4180). */
#include <stdlib.h>
#include <string.h>

#include "cli/log/log_command.h"
#include "files/number.h"

const char log_csv_heading[] = "job,machine,time,sweep,at_degrees,reading_mm,x_mm,y_mm,kind\r\n";

/* A name; one that a spreadsheet would take for a formula gets an apostrophe, which it hides. */
static void add_field(struct buffer *row, const char *text)
{
    bool quote = strpbrk(text, ",\"\r\n") != NULL;
    buffer_add(row, quote ? "\"" : "");
    buffer_add(row, text[0] && strchr("=+-@\t\r", text[0]) ? "'" : "");
    for (const char *c = text; *c; c++) {
        buffer_add(row, *c == '"' ? "\"" : "");
        buffer_add_bytes(row, c, 1);
    }
    buffer_add(row, quote ? "\"," : ",");
}

static void add_number(struct buffer *row, double value, bool degrees, const char *after)
{
    char text[NUMBER_SHOWN];
    number_exact(text, degrees ? perpend_degrees(value) : value,
        degrees ? reads_as_degrees : reads_as_number, value, PERPEND_UNIT_MM);
    buffer_addf(row, "%s%s", text, after);
}

char *log_record_csv(const struct log_record *record)
{
    struct buffer rows = {0};
    char time[LOG_TIME_ISO];
    buffer_add(&rows, "");
    for (size_t s = 0; s < record->sweep_count; s++)
        for (size_t i = 0; i < record->sweeps[s].reading_count + record->sweeps[s].cut_count; i++) {
            const struct log_reading *reading = &record->sweeps[s].readings[i];
            if (!reading->counts)
                continue;
            buffer_addf(&rows, "%lld,", (long long)record->id);
            add_field(&rows, record->machine_name);
            buffer_addf(&rows, "%s,", log_time_iso(time, &reading->at));
            add_field(&rows, record->sweeps[s].name);
            add_number(&rows, reading->reading.bearing, true, ",");
            add_number(&rows, reading->reading.value, false, ",");
            add_number(&rows, reading->reading.x, false, ",");
            add_number(&rows, reading->reading.y, false, reading->cut ? ",cut\r\n" : ",sweep\r\n");
        }
    return buffer_take(&rows);
}

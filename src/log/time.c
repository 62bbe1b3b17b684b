/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>

#include "log/log.h"

char *log_time_text(char buffer[LOG_TIME_TEXT], const struct log_time *time)
{
    snprintf(buffer, LOG_TIME_TEXT, "%.16s", time->wall[0] ? time->wall : "-");
    return buffer;
}

char *log_day_text(char buffer[LOG_TIME_TEXT], const struct log_time *time)
{
    snprintf(buffer, LOG_TIME_TEXT, "%.10s", time->wall[0] ? time->wall : "-");
    return buffer;
}

char *log_time_iso(char buffer[LOG_TIME_ISO], const struct log_time *time)
{
    int size = abs(time->offset);
    buffer[0] = '\0';
    if (time->wall[0])
        snprintf(buffer, LOG_TIME_ISO, "%.10sT%.8s%c%02d:%02d", time->wall, time->wall + 11,
            time->offset < 0 ? '-' : '+', size / 60, size % 60);
    return buffer;
}

/* log.h - one line to stderr (the journal of the service manager takes it from there).
 *
 * log_warn adds errno's text, its twin log_warnx does not; both leave errno alone.
 * A change of state is logged once each way by whoever sees it change, never on each poll.
 */
#pragma once

void log_info(const char *format, ...) __attribute__((format(printf, 1, 2)));
void log_warn(const char *format, ...) __attribute__((format(printf, 1, 2)));
void log_warnx(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* log.h - one line to stderr (the journal of the service manager takes it from there).
 *
 * log_warn adds errno's text, its twin log_warnx does not; both leave errno alone.
 * A change of state is logged once each way by whoever sees it change, never on each poll.
 */
#pragma once

void log_info(const char *format, ...) __attribute__((format(printf, 1, 2)));
void log_warn(const char *format, ...) __attribute__((format(printf, 1, 2)));
void log_warnx(const char *format, ...) __attribute__((format(printf, 1, 2)));
/* Tells a service manager `READY=1` or `STOPPING=1` by one datagram to NOTIFY_SOCKET (the protocol of sd_notify; the
 * one line that we need of it does not pay for a library). Does nothing where nobody listens. */
void notify_service(const char *state);

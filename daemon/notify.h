/* notify.h - tells a service manager that we are ready or stopping (the NOTIFY_SOCKET datagram protocol of sd_notify;
 * the one line that we need of it does not pay for a library). Does nothing where nobody listens. */
#pragma once

void notify_service(const char *state); /* `READY=1`, `STOPPING=1` */

/* machine_inbox.c - text that came on a channel, until somebody takes it. */
#include "tests/vm/machine.h"

#include <errno.h>
#include <string.h>
#include <sys/socket.h>

static void drop(struct channel_text *channel, size_t count)
{
    channel->len -= count;
    memmove(channel->text, channel->text + count, channel->len + 1);
}

bool inbox_take(struct channel_text *channel)
{
    size_t room = sizeof channel->text - 1 - channel->len;
    if (room == 0) { /* nobody takes it: the older half goes */
        drop(channel, channel->len / 2);
        room = sizeof channel->text - 1 - channel->len;
    }
    ssize_t got = recv(channel->fd, channel->text + channel->len, room, MSG_DONTWAIT);
    if (got <= 0)
        return got < 0 && (errno == EAGAIN || errno == EINTR);
    for (ssize_t i = 0; i < got; i++) /* a NUL would hide what follows it */
        if (channel->text[channel->len + (size_t)i] == '\0')
            channel->text[channel->len + (size_t)i] = ' ';
    channel->len += (size_t)got;
    channel->text[channel->len] = '\0';
    return true;
}

json_t *inbox_json(struct channel_text *channel)
{
    char *end;
    while ((end = strchr(channel->text, '\n'))) {
        size_t len = (size_t)(end - channel->text);
        json_t *value = json_loadb(channel->text, len, 0, NULL);
        drop(channel, len + 1);
        if (value)
            return value;
    }
    return NULL;
}

bool inbox_drop_through(struct channel_text *channel, const char *mark)
{
    const char *at = strstr(channel->text, mark);
    if (!at)
        return false;
    drop(channel, (size_t)(at - channel->text) + strlen(mark));
    return true;
}

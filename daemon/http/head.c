/* head.c - whether a request's head is read alike by every program. It must not know what is asked.
 *
 * A program before ours (a proxy) may end a request elsewhere than we do, where its length is said twice or in a way
 * that only one of the two understands; what follows is then a request that nobody let through: RFC 9112, 11.2. The
 * library drops such a head or takes it for another, so it is looked at once more here. */
#include "http/server.h"

#include <string.h>
#include <strings.h>

/* How often each head that may come once came; foul: one has a name that is none. */
struct heads {
    int host, length, coding;
    bool foul;
};

/* RFC 9110, 5.6.2. A space before the colon is refused as well (RFC 9112, 5.1). */
static bool is_token(const char *name, size_t len)
{
    static const char marks[] = "!#$%&'*+-.^_`|~";
    for (size_t i = 0; i < len; i++) {
        char c = name[i], low = (char)(c | 0x20);
        if (!(low >= 'a' && low <= 'z') && !(c >= '0' && c <= '9') && !(c && strchr(marks, c)))
            return false;
    }
    return len > 0;
}

/* Whether `name` is that head. The library glues a folded line (RFC 9112, 5.2) to the name of the line before, so a
 * name that only begins like one is a head that was hidden: *foul. */
static bool is_head(const char *name, const char *wanted, bool *foul)
{
    size_t len = strlen(wanted);
    if (strncasecmp(name, wanted, len) != 0)
        return false;
    *foul = *foul || name[len] != '\0';
    return name[len] == '\0';
}

/* The library calls it for each head; YES asks for the next. A control character within a value ends it for one program
 * and not for another. */
static enum MHD_Result count_head(void *arg, enum MHD_ValueKind kind, const char *name, size_t name_len,
                                  const char *value, size_t value_len)
{
    struct heads *n = arg;
    (void)kind;
    n->foul = n->foul || !is_token(name, name_len);
    for (size_t i = 0; i < value_len && !n->foul; i++)
        n->foul = (unsigned char)value[i] < 0x20 && value[i] != '\t';
    if (n->foul)
        return MHD_NO;
    n->host += strcasecmp(name, "Host") == 0;
    n->length += is_head(name, "Content-Length", &n->foul);
    n->coding += is_head(name, "Transfer-Encoding", &n->foul);
    return MHD_YES;
}

/* Two lengths, or a length beside a coding, are how one request is smuggled within another past a proxy (RFC 9112,
 * section 6.3); a head in doubt is refused whole. */
bool http_head_is_plain(struct http_exchange *e)
{
    struct heads n = {0};
    e->server->library.values(e->connection, MHD_HEADER_KIND, count_head, &n);
    return !n.foul && n.host <= 1 && n.length <= 1 && n.coding <= 1 && n.length + n.coding <= 1;
}

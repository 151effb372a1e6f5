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
    bool coding = is_head(name, "Transfer-Encoding", &n->foul);
    n->coding += coding;
    n->foul = n->foul || (coding && (value_len != strlen("chunked") || strncasecmp(value, "chunked", value_len) != 0));
    return MHD_YES;
}

/* A coding that the library does not know it reads as no coding, and waits for the connection's end. Two lengths, or a
 * length beside a coding, are how one request is smuggled within another past a proxy (RFC 9112, section 6.3); a head
 * in doubt is refused whole. */
bool http_head_is_plain(struct http_exchange *e)
{
    struct heads n = {0};
    e->server->library.values(e->connection, MHD_HEADER_KIND, count_head, &n);
    return !n.foul && n.host <= 1 && n.length <= 1 && n.coding <= 1 && n.length + n.coding <= 1;
}

/* The digit's value, -1: no hexadecimal digit. */
static int hex_value(char c)
{
    const char *digits = "0123456789abcdef", *at = c ? strchr(digits, c >= 'A' && c <= 'F' ? c + 32 : c) : NULL;
    return at ? (int)(at - digits) : -1;
}

/* What ends a text for us or parts a path stays escaped, so that no name within the table is met by it: a NUL would cut
 * `app.js%00.css` to another file (CWE-158), and `%2f` is data, not a separator (RFC 3986, 2.2). */
size_t http_unescape(void *arg, struct MHD_Connection *c, char *text)
{
    char *out = text;
    (void)arg, (void)c;
    for (const char *in = text; *in;) {
        int high = *in == '%' ? hex_value(in[1]) : -1, low = high < 0 ? -1 : hex_value(in[2]);
        int byte = low < 0 ? 0 : 16 * high + low;
        bool plain = byte != 0 && byte != '/' && byte != '\\';
        *out++ = plain ? (char)byte : *in;
        in += plain ? 3 : 1;
    }
    *out = '\0';
    return (size_t)(out - text);
}

/* hazards.c - from hazard statements to the words of a label, gravest first. Knows no toner, no cup and no printer. */
#include "catalogue/hazards.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum { SENSITISERS = 3 }; /* the first of `known` */

/* Every statement that a label has words for, in the order of a label: by ranks, and within one the gravest first: what
 * makes allergic, is breathed in (from H330), harms skin and eyes (H314), burns (H200), the rest (H350). A
 * statement with letters behind its figures (H360D, EUH209A) says the same as without. Statements and signal words:
 * Regulation (EC) No 1272/2008, Annexes I to III, with the hazard classes of 2023 (from memory); the short words are
 * our own. */
static const char known[][7] = {
    "H334",   "H317",   "EUH204", "H330", "H331",   "EUH071", "EUH032", "EUH031", "EUH029", "EUH206", "H304",
    "H332",   "EUH211", "EUH212", "H335", "H336",   "H314",   "H318",   "EUH070", "H310",   "H311",   "EUH203",
    "EUH205", "EUH208", "EUH202", "H312", "H319",   "H315",   "EUH066", "H200",   "H201",   "H202",   "H203",
    "H204",   "H205",   "EUH001", "H206", "H207",   "H208",   "H240",   "H241",   "H242",   "H230",   "H231",
    "EUH044", "EUH019", "EUH018", "H250", "H232",   "H251",   "H252",   "H260",   "H261",   "EUH014", "H270",
    "H271",   "H272",   "H220",   "H221", "H222",   "H223",   "H224",   "H225",   "H226",   "H228",   "EUH209",
    "H229",   "H282",   "H283",   "H284", "H280",   "H281",   "H350",   "H351",   "H340",   "H341",   "H360",
    "H361",   "H362",   "H370",   "H371", "H372",   "H373",   "EUH380", "EUH381", "H300",   "H301",   "H302",
    "EUH201", "EUH207", "H290",   "H400", "H410",   "H411",   "H412",   "H413",   "EUH430", "EUH431", "EUH440",
    "EUH441", "EUH450", "EUH451", "H420", "EUH059", "EUH210", "EUH401"};
/* Those that ask for a signal word. Where it depends on the category, which the code does not tell, the higher. */
static const char danger[][7] = {
    "H334", "H330", "H331", "H304",   "H314", "H318", "H310",   "H311",   "H200",   "H201",   "H202",  "H203",
    "H205", "H206", "H207", "H240",   "H241", "H242", "H230",   "H231",   "H250",   "H232",   "H251",  "H260",
    "H261", "H270", "H271", "H272",   "H220", "H222", "H224",   "H225",   "H228",   "H282",   "H350",  "H340",
    "H360", "H370", "H372", "EUH380", "H300", "H301", "EUH430", "EUH440", "EUH441", "EUH450", "EUH451"};
static const char warning[][7] = {"H317", "H332", "H335", "H336",   "H312", "H319", "H315", "H204", "H208",   "H252",
                                  "H221", "H223", "H226", "H229",   "H283", "H284", "H280", "H281", "H351",   "H341",
                                  "H361", "H371", "H373", "EUH381", "H302", "H290", "H400", "H410", "EUH431", "H420"};
enum { KNOWN = sizeof known / sizeof *known };
_Static_assert((int)KNOWN <= (int)HAZARDS_KNOWN_MAX, "struct hazards has room for every statement once");

/* The form alone: a statement that is not in the table is kept with the toner, but gives no words. */
bool hazard_code_fits(const char *code, size_t len)
{
    size_t letters = len > 3 && memcmp(code, "EUH", 3) == 0 ? 3 : len > 1 && code[0] == 'H' ? 1 : 0;
    if (letters == 0 || len < letters + 3 || len > letters + 5)
        return false;
    for (size_t i = letters; i < len; i++)
        if (i < letters + 3 ? !isdigit((unsigned char)code[i]) : !isalpha((unsigned char)code[i]))
            return false;
    return true;
}

/* A statement that two toners of a cup bear stands once. Keeps the rows ascending, which is their order on a label. */
static void add_row(struct hazards *h, unsigned char row)
{
    size_t at = h->count;
    while (at > 0 && h->row[at - 1] >= row)
        at--;
    if (at < h->count && h->row[at] == row)
        return;
    memmove(h->row + at + 1, h->row + at, h->count - at);
    h->row[at] = row;
    h->count++;
}

/* Only the figures are compared, so `H360FD` finds H360; a code of which no words are known is passed over, since a
 * label has no room for a bare code. */
void hazards_add(struct hazards *h, const char *codes)
{
    for (const char *p = codes; *p;) {
        size_t n = strcspn(p, " +"), base = *p == 'E' ? 6 : 4;
        for (unsigned char i = 0; n >= base && i < KNOWN; i++)
            if (strlen(known[i]) == base && memcmp(known[i], p, base) == 0)
                add_row(h, i);
        p += n + strspn(p + n, " +");
    }
}

/* A hundred codes at most, for one label at a time: looked through, not hashed. */
static bool is_among(const char *code, const char list[][7], size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(list[i], code) == 0)
            return true;
    return false;
}

const char *hazards_signal(const struct hazards *h)
{
    const char *most = "";
    for (size_t i = 0; i < h->count; i++) {
        if (is_among(known[h->row[i]], danger, sizeof danger / sizeof *danger))
            return "danger";
        if (is_among(known[h->row[i]], warning, sizeof warning / sizeof *warning))
            most = "warning";
    }
    return most;
}

/* Two statements may have the same short words, and are said once. */
size_t hazards_words(const struct hazards *h, enum words_language language, const char *words[], size_t max,
                     size_t *gravest)
{
    size_t count = 0;
    *gravest = 0;
    for (size_t i = 0; i < h->count && count < max; i++) {
        char code[24];
        snprintf(code, sizeof code, "hazard.%s", known[h->row[i]]);
        const char *word = words_or(language, code, known[h->row[i]]);
        bool there = false;
        for (size_t k = 0; !there && k < count; k++)
            there = strcmp(words[k], word) == 0;
        if (there)
            continue;
        words[count++] = word;
        if (h->row[i] < SENSITISERS)
            *gravest = count;
    }
    return count;
}

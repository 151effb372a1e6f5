/* hazards.c - from hazard statements to the words of a label, gravest first. Knows no toner, no cup and no printer. */
#include "catalogue/hazards.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum rank { HAZARD_SENSITISER, HAZARD_INHALED, HAZARD_SKIN_EYES, HAZARD_FIRE, HAZARD_OTHER };
enum signal { HAZARD_NO_SIGNAL, HAZARD_WARNING, HAZARD_DANGER };

/* Statements and signal words: Regulation (EC) No 1272/2008, Annexes I to III, with the hazard classes of 2023 (from
 * memory); the short words are our own. The rows stand in the order of a label: ranks, and within one the gravest
 * first. A statement with letters behind its figures (H360D, EUH209A) says the same as without. */
static const struct known {
    char code[7];
    enum rank rank;
    enum signal signal;
} known[] = {
    {"H334", HAZARD_SENSITISER, HAZARD_DANGER},
    {"H317", HAZARD_SENSITISER, HAZARD_WARNING},
    {"EUH204", HAZARD_SENSITISER, HAZARD_NO_SIGNAL},
    {"H330", HAZARD_INHALED, HAZARD_DANGER},
    {"H331", HAZARD_INHALED, HAZARD_DANGER},
    {"EUH071", HAZARD_INHALED, HAZARD_NO_SIGNAL},
    {"EUH032", HAZARD_INHALED, HAZARD_NO_SIGNAL},
    {"EUH031", HAZARD_INHALED, HAZARD_NO_SIGNAL},
    {"EUH029", HAZARD_INHALED, HAZARD_NO_SIGNAL},
    {"EUH206", HAZARD_INHALED, HAZARD_NO_SIGNAL},
    {"H304", HAZARD_INHALED, HAZARD_DANGER},
    {"H332", HAZARD_INHALED, HAZARD_WARNING},
    {"EUH211", HAZARD_INHALED, HAZARD_NO_SIGNAL},
    {"EUH212", HAZARD_INHALED, HAZARD_NO_SIGNAL},
    {"H335", HAZARD_INHALED, HAZARD_WARNING},
    {"H336", HAZARD_INHALED, HAZARD_WARNING},
    {"H314", HAZARD_SKIN_EYES, HAZARD_DANGER},
    {"H318", HAZARD_SKIN_EYES, HAZARD_DANGER},
    {"EUH070", HAZARD_SKIN_EYES, HAZARD_NO_SIGNAL},
    {"H310", HAZARD_SKIN_EYES, HAZARD_DANGER},
    {"H311", HAZARD_SKIN_EYES, HAZARD_DANGER},
    {"EUH203", HAZARD_SKIN_EYES, HAZARD_NO_SIGNAL},
    {"EUH205", HAZARD_SKIN_EYES, HAZARD_NO_SIGNAL},
    {"EUH208", HAZARD_SKIN_EYES, HAZARD_NO_SIGNAL},
    {"EUH202", HAZARD_SKIN_EYES, HAZARD_NO_SIGNAL},
    {"H312", HAZARD_SKIN_EYES, HAZARD_WARNING},
    {"H319", HAZARD_SKIN_EYES, HAZARD_WARNING},
    {"H315", HAZARD_SKIN_EYES, HAZARD_WARNING},
    {"EUH066", HAZARD_SKIN_EYES, HAZARD_NO_SIGNAL},
    {"H200", HAZARD_FIRE, HAZARD_DANGER},
    {"H201", HAZARD_FIRE, HAZARD_DANGER},
    {"H202", HAZARD_FIRE, HAZARD_DANGER},
    {"H203", HAZARD_FIRE, HAZARD_DANGER},
    {"H204", HAZARD_FIRE, HAZARD_WARNING},
    {"H205", HAZARD_FIRE, HAZARD_DANGER},
    {"EUH001", HAZARD_FIRE, HAZARD_NO_SIGNAL},
    {"H206", HAZARD_FIRE, HAZARD_DANGER},
    {"H207", HAZARD_FIRE, HAZARD_DANGER},
    {"H208", HAZARD_FIRE, HAZARD_WARNING},
    {"H240", HAZARD_FIRE, HAZARD_DANGER},
    {"H241", HAZARD_FIRE, HAZARD_DANGER},
    {"H242", HAZARD_FIRE, HAZARD_DANGER},
    {"H230", HAZARD_FIRE, HAZARD_DANGER},
    {"H231", HAZARD_FIRE, HAZARD_DANGER},
    {"EUH044", HAZARD_FIRE, HAZARD_NO_SIGNAL},
    {"EUH019", HAZARD_FIRE, HAZARD_NO_SIGNAL},
    {"EUH018", HAZARD_FIRE, HAZARD_NO_SIGNAL},
    {"H250", HAZARD_FIRE, HAZARD_DANGER},
    {"H232", HAZARD_FIRE, HAZARD_DANGER},
    {"H251", HAZARD_FIRE, HAZARD_DANGER},
    {"H252", HAZARD_FIRE, HAZARD_WARNING},
    {"H260", HAZARD_FIRE, HAZARD_DANGER},
    {"H261", HAZARD_FIRE, HAZARD_DANGER},
    {"EUH014", HAZARD_FIRE, HAZARD_NO_SIGNAL},
    {"H270", HAZARD_FIRE, HAZARD_DANGER},
    {"H271", HAZARD_FIRE, HAZARD_DANGER},
    {"H272", HAZARD_FIRE, HAZARD_DANGER},
    {"H220", HAZARD_FIRE, HAZARD_DANGER},
    {"H221", HAZARD_FIRE, HAZARD_WARNING},
    {"H222", HAZARD_FIRE, HAZARD_DANGER},
    {"H223", HAZARD_FIRE, HAZARD_WARNING},
    {"H224", HAZARD_FIRE, HAZARD_DANGER},
    {"H225", HAZARD_FIRE, HAZARD_DANGER},
    {"H226", HAZARD_FIRE, HAZARD_WARNING},
    {"H228", HAZARD_FIRE, HAZARD_DANGER},
    {"EUH209", HAZARD_FIRE, HAZARD_NO_SIGNAL},
    {"H229", HAZARD_FIRE, HAZARD_WARNING},
    {"H282", HAZARD_FIRE, HAZARD_DANGER},
    {"H283", HAZARD_FIRE, HAZARD_WARNING},
    {"H284", HAZARD_FIRE, HAZARD_WARNING},
    {"H280", HAZARD_FIRE, HAZARD_WARNING},
    {"H281", HAZARD_FIRE, HAZARD_WARNING},
    {"H350", HAZARD_OTHER, HAZARD_DANGER},
    {"H351", HAZARD_OTHER, HAZARD_WARNING},
    {"H340", HAZARD_OTHER, HAZARD_DANGER},
    {"H341", HAZARD_OTHER, HAZARD_WARNING},
    {"H360", HAZARD_OTHER, HAZARD_DANGER},
    {"H361", HAZARD_OTHER, HAZARD_WARNING},
    {"H362", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"H370", HAZARD_OTHER, HAZARD_DANGER},
    {"H371", HAZARD_OTHER, HAZARD_WARNING},
    {"H372", HAZARD_OTHER, HAZARD_DANGER},
    {"H373", HAZARD_OTHER, HAZARD_WARNING},
    {"EUH380", HAZARD_OTHER, HAZARD_DANGER},
    {"EUH381", HAZARD_OTHER, HAZARD_WARNING},
    {"H300", HAZARD_OTHER, HAZARD_DANGER},
    {"H301", HAZARD_OTHER, HAZARD_DANGER},
    {"H302", HAZARD_OTHER, HAZARD_WARNING},
    {"EUH201", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"EUH207", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"H290", HAZARD_OTHER, HAZARD_WARNING},
    {"H400", HAZARD_OTHER, HAZARD_WARNING},
    {"H410", HAZARD_OTHER, HAZARD_WARNING},
    {"H411", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"H412", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"H413", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"EUH430", HAZARD_OTHER, HAZARD_DANGER},
    {"EUH431", HAZARD_OTHER, HAZARD_WARNING},
    {"EUH440", HAZARD_OTHER, HAZARD_DANGER},
    {"EUH441", HAZARD_OTHER, HAZARD_DANGER},
    {"EUH450", HAZARD_OTHER, HAZARD_DANGER},
    {"EUH451", HAZARD_OTHER, HAZARD_DANGER},
    {"H420", HAZARD_OTHER, HAZARD_WARNING},
    {"EUH059", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"EUH210", HAZARD_OTHER, HAZARD_NO_SIGNAL},
    {"EUH401", HAZARD_OTHER, HAZARD_NO_SIGNAL},
};
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

/* Keeps the rows ascending, which is their order on a label. */
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

void hazards_add(struct hazards *h, const char *codes)
{
    for (const char *p = codes; *p;) {
        size_t n = strcspn(p, " +"), base = *p == 'E' ? 6 : 4;
        for (unsigned char i = 0; n >= base && i < KNOWN; i++)
            if (strlen(known[i].code) == base && memcmp(known[i].code, p, base) == 0)
                add_row(h, i);
        p += n + strspn(p + n, " +");
    }
}

const char *hazards_signal(const struct hazards *h)
{
    static const char *const names[] = {"", "warning", "danger"};
    enum signal most = HAZARD_NO_SIGNAL;
    for (size_t i = 0; i < h->count; i++)
        if (known[h->row[i]].signal > most)
            most = known[h->row[i]].signal;
    return names[most];
}

/* Two statements may have the same short words, and are said once. */
size_t hazards_words(const struct hazards *h, enum words_language language, const char *words[], size_t max,
                     size_t *gravest)
{
    size_t count = 0;
    *gravest = 0;
    for (size_t i = 0; i < h->count && count < max; i++) {
        char code[24];
        snprintf(code, sizeof code, "hazard.%s", known[h->row[i]].code);
        const struct words_row *row = words_find(code);
        const char *word = row ? row->text[language] : known[h->row[i]].code;
        bool there = false;
        for (size_t k = 0; !there && k < count; k++)
            there = strcmp(words[k], word) == 0;
        if (there)
            continue;
        words[count++] = word;
        if (known[h->row[i]].rank == HAZARD_SENSITISER)
            *gravest = count;
    }
    return count;
}

#include "catalogue/hazards.h"

#include "catalogue/catalogue.h"

#include <ctype.h>
#include <string.h>

/* Codes and what they say: Regulation (EC) No 1272/2008, Annexes II and III (from memory); the short words are our own.
 * A statement with letters behind its figures (H360D) says the same as without. Order: as the codes run. */
static const struct {
    const char *first, *last; /* the first five characters, or for EUH six, both included */
    const char *word;
} code_words[] = {
    {"H200", "H205", "explosive"},
    {"H220", "H221", "flammable gas"},
    {"H222", "H223", "flammable spray can"},
    {"H224", "H226", "flammable"},
    {"H228", "H228", "flammable"},
    {"H229", "H229", "bursts when hot"},
    {"H240", "H242", "heat may set it alight"},
    {"H250", "H252", "may catch fire by itself"},
    {"H260", "H261", "flammable gas with water"},
    {"H270", "H272", "feeds fire"},
    {"H280", "H281", "gas under pressure"},
    {"H290", "H290", "corrodes metal"},
    {"H300", "H301", "toxic if swallowed"},
    {"H302", "H302", "harmful if swallowed"},
    {"H304", "H304", "deadly in the lungs if swallowed"},
    {"H310", "H311", "toxic on skin"},
    {"H312", "H312", "harmful on skin"},
    {"H314", "H314", "burns skin and eyes"},
    {"H315", "H315", "irritates skin"},
    {"H317", "H317", "skin allergy"},
    {"H318", "H318", "damages eyes"},
    {"H319", "H319", "irritates eyes"},
    {"H330", "H331", "toxic vapour"},
    {"H332", "H332", "harmful vapour"},
    {"H334", "H334", "asthma by breathing"},
    {"H335", "H335", "irritates airways"},
    {"H336", "H336", "drowsiness"},
    {"H340", "H341", "may harm genes"},
    {"H350", "H351", "may cause cancer"},
    {"H360", "H361", "may harm the unborn"},
    {"H362", "H362", "may harm breast-fed babies"},
    {"H370", "H371", "may harm organs"},
    {"H372", "H373", "long use harms organs"},
    {"H400", "H413", "harms water life"},
    {"H420", "H420", "harms ozone"},
    {"EUH018", "EUH019", "may explode in use"},
    {"EUH029", "EUH032", "toxic gas on contact"},
    {"EUH066", "EUH066", "dries skin"},
    {"EUH070", "EUH070", "toxic to eyes"},
    {"EUH071", "EUH071", "burns airways"},
    {"EUH201", "EUH201", "lead"},
    {"EUH203", "EUH203", "chromium VI"},
    {"EUH204", "EUH204", "isocyanates"},
    {"EUH205", "EUH205", "epoxy"},
    {"EUH207", "EUH207", "cadmium"},
    {"EUH208", "EUH208", "may cause allergy"},
    {"EUH211", "EUH212", "harmful dust or mist"},
};

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

/* NULL: a statement that is none for a label's few words. */
static const char *word_of(const char *code)
{
    size_t n = code[0] == 'E' ? 6 : 4;
    for (size_t i = 0; i < sizeof code_words / sizeof *code_words; i++)
        if (strlen(code_words[i].first) == n && strncmp(code, code_words[i].first, n) >= 0 &&
            strncmp(code, code_words[i].last, n) <= 0)
            return code_words[i].word;
    return NULL;
}

size_t hazard_words(const struct toner *t, const char *words[], size_t count, size_t max)
{
    for (size_t i = 0; i < t->hazard_count && count < max; i++) {
        const char *word = word_of(t->hazards[i]);
        bool there = !word;
        for (size_t k = 0; !there && k < count; k++)
            there = strcmp(words[k], word) == 0;
        if (!there)
            words[count++] = word;
    }
    return count;
}

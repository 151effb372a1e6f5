/* Names of 60 characters of any UTF-8 come whole from a put to the screen and the label; what neither could show right
 * is refused where it is put. World: story.h. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Sixty times one character. */
static const char *sixty(const char *letter, char out[256])
{
    out[0] = '\0';
    for (int i = 0; i < 60; i++)
        strcat(out, letter);
    return out;
}

/* A letter with its mark (3 bytes), one of East Asia (3 bytes), one beyond the first plane (4 bytes). */
static void a_name_is_never_cut(void **state)
{
    static const char *const letters[] = {"e\xCC\x81", "\xE8\x89\xB2", "\xF0\xA0\x80\x80"};
    struct harness *h = *state;
    char name[256], id[16];
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++) {
        sixty(letters[i], name);
        story_call(h, "toner.put", "{'id':'NT','name':'%s','line':'solvent','density_g_per_ml':1}", name);
        story_call(h, "formula.put",
                   "{'code':'NF','name':'%s','finish':'solid','line':'solvent','coats':[{'coat':'base','parts':["
                   "{'toner':'NT','parts':1}]}]}",
                   name);
        story_cup(h, "{'formula':'NF','grams':100,'reduce_pct':0}");
        story_is(h, "name", name);
        story_is(h, "steps.0.name", name);
        story_batch(h, id);
        story_text(story_call(h, "batch.label", "{'batch':'%s','copies':0}", id), "label.name", name);
        story_clear(h);
    }
}

static void what_cannot_be_shown_is_refused(void **state)
{
    static const char *const names[] = {"\xD7\x9C\xD7\x91\xD7\x9F", "\xE0\xA4\x95", "a\xE2\x80\xAEz"};
    struct harness *h = *state;
    char name[256];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        story_text(story_fault(h, "toner.put", -32005, "{'id':'NX','name':'%s'}", names[i]), "field", "name");
    story_text(story_fault(h, "panel.put", -32005, "{'id':'NX','area_m2':1,'name':'%sx'}", sixty("x", name)), "why",
               "too long");
    story_fault(h, "toner.get", -32001, "{'id':'NX'}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_name_is_never_cut),
        cmocka_unit_test(what_cannot_be_shown_is_refused),
    };
    return cmocka_run_group_tests(tests, story_begin, story_end);
}

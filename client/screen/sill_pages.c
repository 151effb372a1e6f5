#include "client/screen/sill_say.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void sill_hand(struct sill *s, const char *text)
{
    s->kind = SILL_HAND;
    s->enter = ACT_REFUSED;
    bench_copy(s->text, sizeof s->text, text);
}

void sill_key(struct sill *s, enum act act, uint32_t value, const char *format, ...)
{
    s->kind = SILL_KEY;
    s->enter = act;
    s->enter_value = value;
    va_list list;
    va_start(list, format);
    vsnprintf(s->text, sizeof s->text, format, list);
    va_end(list);
}

void sill_second(struct sill *s, enum act act, const char *text)
{
    s->dot = act;
    bench_copy(s->second, sizeof s->second, text);
}

void sill_pick(struct sill *s, const char *text)
{
    s->kind = SILL_PICK;
    s->enter = ACT_REFUSED;
    bench_copy(s->text, sizeof s->text, text);
}

static void sill_find(const struct model *m, struct sill *s)
{
    const struct view *v = &m->view;
    if (v->writing) {
        if (m->n_matches == 0)
            sill_hand(s, v->text[0] ? "mend it: nothing is called that" : "write a code or a name");
        else
            sill_key(s, ACT_END_WRITING, 0, "choose from %zu", m->n_matches);
        return;
    }
    const struct match *match = v->line < m->n_matches ? &m->matches[v->line] : NULL;
    if (!match) {
        sill_key(s, ACT_PAGE, PAGE_FIND, "find a colour");
        return;
    }
    if (match->n_coats > 1 && v->coat >= match->n_coats) {
        sill_pick(s, "choose the coat");
    } else {
        sill_key(s, ACT_AMOUNT, 0, "%s: how much?", match->n_coats ? match->coats[v->coat] : match->code);
    }
    if (lists_next_variant(match, v->coat, v->variant) != v->variant)
        sill_second(s, ACT_VARIANT, "another variant");
}

static void sill_amount(const struct model *m, struct sill *s)
{
    const struct view *v = &m->view;
    double value;
    if (v->line == AMOUNT_ORDER || v->line == AMOUNT_PAINTER) {
        sill_key(s, ACT_NEXT, 0, "keep it");
        return;
    }
    if (!words_amount(v->fields[v->line], &value)) {
        sill_hand(s, v->fields[v->line][0] ? "mend it: a number above 0" : "write how much");
        return;
    }
    const char *unit = v->line == AMOUNT_ML ? "mL ready to spray" : "g";
    if (v->repeat[0])
        sill_key(s, ACT_BEGIN, 0, "begin: %s again, %s %s", v->repeat, v->fields[v->line], unit);
    else
        sill_key(s, ACT_BEGIN, 0, "begin %s %s, %s %s", v->wanted.code, v->wanted.n_coats ? v->wanted.coats[0] : "",
                 v->fields[v->line], unit);
}

static void sill_toner_page(const struct model *m, struct sill *s)
{
    const struct view *v = &m->view;
    size_t n = sill_toners(m);
    const struct toner_line *t = sill_toner(m, v->line);
    if (v->writing && n != 1) {
        if (n == 0)
            sill_hand(s, "mend it: no toner is called that");
        else
            sill_key(s, ACT_END_WRITING, 0, "choose from %zu", n);
    } else if (!t) {
        sill_hand(s, "choose a toner");
    } else if (v->purpose == FOR_TINT) {
        sill_key(s, ACT_TINT, 0, "add %s by eye", t->toner);
    } else {
        sill_key(s, ACT_REALLY, 0, "count what was poured as %s", t->toner);
    }
}

static void sill_contents(const struct model *m, struct sill *s, bool tin)
{
    struct content c = tin ? sill_tin(m, m->view.choice) : sill_content(m, m->view.choice);
    if (c.text && !c.why) {
        const char *end = strchr(c.text, ':');
        int n = end ? (int)(end - c.text) : (int)strlen(c.text);
        sill_key(s, c.act, c.value, "%.*s", n, c.text);
    } else {
        sill_pick(s, "choose");
    }
}

static void sill_scrap_page(const struct model *m, struct sill *s)
{
    const char *why = sill_scrap(m->view.choice);
    if (why) {
        sill_key(s, ACT_SCRAP, 0, "scrap %s: %s", m->bench.batch, why);
    } else {
        sill_pick(s, "choose why");
    }
}

static void sill_write(const struct model *m, struct sill *s)
{
    bool empty = m->view.text[0] == '\0';
    if (empty)
        sill_key(s, ACT_PAGE, PAGE_BENCH, "leave it");
    else if (m->view.purpose == FOR_LOT)
        sill_key(s, ACT_LOT, 0, "this tin is of lot %.40s", m->view.text);
    else
        sill_key(s, ACT_NOTE, 0, "keep the note");
}

void sill_beside(const struct model *m, struct sill *s)
{
    switch (m->view.page) {
    case PAGE_BENCH:
        break; /* sill.c */
    case PAGE_CONTENTS:
    case PAGE_TIN:
        sill_contents(m, s, m->view.page == PAGE_TIN);
        break;
    case PAGE_FIND:
        sill_find(m, s);
        break;
    case PAGE_AMOUNT:
        sill_amount(m, s);
        break;
    case PAGE_TONER:
        sill_toner_page(m, s);
        break;
    case PAGE_WRITE:
        sill_write(m, s);
        break;
    case PAGE_SCRAP:
        sill_scrap_page(m, s);
        break;
    case PAGE_SCALES:
        sill_key(s, ACT_LOOK, 0, "look again");
        break;
    }
}

#include "client/screen/sill.h"

#include <string.h>

const struct remedy *sill_remedy(const struct model *m, int digit)
{
    switch (digit) {
    case 1:
        return &m->bench.grow;
    case 2:
        return &m->bench.dip;
    case 3:
        return &m->bench.leave;
    default:
        return NULL;
    }
}

bool sill_remedy_open(const struct model *m, int digit)
{
    const struct remedy *r = sill_remedy(m, digit);
    return digit == 4 ? m->bench.again : r && r->offered && r->fits;
}

const char *sill_scrap(int digit)
{
    static const char *const reasons[] = {"wrong colour", "dirt in the cup", "spilled", "not needed"};
    return digit >= 1 && digit <= 4 ? reasons[digit - 1] : NULL;
}

struct content sill_content(const struct model *m, int digit)
{
    enum bench_state state = m->bench.state;
    bool idle = state == BENCH_IDLE, cup = state == BENCH_CUP, pour = state == BENCH_POUR, over = state == BENCH_OVER,
         done = state == BENCH_DONE;
    const char *none = idle ? "no batch is open" : over ? "choose a remedy first" : cup ? "nothing is poured" : NULL;
    switch (digit) {
    case 1:
        return (struct content){"bench", ACT_PAGE, PAGE_BENCH, NULL};
    case 2:
        return (struct content){"find a colour", ACT_PAGE, PAGE_FIND, idle ? NULL : "hold or finish this batch first"};
    case 3:
        return (struct content){"undo: take back the last accept", ACT_UNDO, 0,
                                pour || over || done ? NULL
                                : none               ? none
                                                     : "nothing is poured"};
    case 4:
        return (struct content){"tint: add a toner by eye", ACT_ASK, FOR_TINT, pour || done ? NULL : none};
    case 5:
        return (struct content){"note", ACT_ASK, FOR_NOTE, idle ? none : NULL};
    case 6:
        return (struct content){"scales", ACT_PAGE, PAGE_SCALES, NULL};
    case 7:
        return (struct content){"this tin: its lot, another toner, make less", ACT_PAGE, PAGE_TIN,
                                pour && !m->bench.now.take_out ? NULL
                                : none                         ? none
                                                               : "no pour is open"};
    case 8:
        return (struct content){"hold: the cup waits, the bench is free", ACT_HOLD, 0,
                                cup || pour || done ? NULL : none};
    case 9:
        return (struct content){"scrap: what the cup holds is waste", ACT_PAGE, PAGE_SCRAP, idle ? none : NULL};
    default:
        return (struct content){NULL, ACT_NONE, 0, NULL};
    }
}

struct content sill_tin(const struct model *m, int digit)
{
    (void)m;
    switch (digit) {
    case 1:
        return (struct content){"lot: the number on the tin", ACT_ASK, FOR_LOT, NULL};
    case 2:
        return (struct content){"another toner was poured", ACT_ASK, FOR_REALLY, NULL};
    case 3:
        return (struct content){"make less: the batch shrinks to what this tin gave", ACT_LESS, 0, NULL};
    case 4:
        return (struct content){"leave it out: nothing more of it goes in", ACT_SHORT, 0, NULL};
    default:
        return (struct content){NULL, ACT_NONE, 0, NULL};
    }
}

const struct toner_line *sill_toner(const struct model *m, size_t n)
{
    for (size_t i = 0; i < m->n_toners; i++)
        if ((lists_holds(m->toners[i].toner, m->view.text) || lists_holds(m->toners[i].name, m->view.text)) && n-- == 0)
            return &m->toners[i];
    return NULL;
}

size_t sill_toners(const struct model *m)
{
    size_t n = 0;
    while (sill_toner(m, n))
        n++;
    return n;
}

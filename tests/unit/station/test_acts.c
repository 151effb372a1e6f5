/* Random walks of all acts at a station against a plain model of hand, cup and painter.
 *
 * The model is written from the design alone: it knows what the hand really poured of each toner and what the painter
 * agreed to, and nothing of totals, aims or folds. After each act the invariants are checked:
 *   - what was counted is in the cup: of each toner and in all, within an interval an act;
 *   - nothing asks twice: what a remedy or a growth settled never asks again until more of it is poured;
 *   - no total grows beyond what was agreed without a word, and who pours to 0 to go is on aim;
 *   - what a station did by itself stays through short, hold, resume, another bench and a restart;
 *   - growing asks for what it offered;
 *   - cups of the shelf: what is poured out of one is in the cup, by what it holds, and off its row; nothing that is
 *     activated or holds a stranger is offered;
 *   - of a premix the cup is told toner by toner, by what it is made of;
 *   - the journal folds to the same cup; facts stay.
 * WALKS in the environment says how many (`make walk`: 20,000); SEED begins elsewhere.
 */
#include "tests/unit/station/acts_shelf.h"

/* ---- acts ---- */
static void unsettle(struct world *w)
{
    for (int p = 0; p < PARTS; p++)
        w->settled_g[p] = -1;
}

/* After an accept: what grew by itself is settled, and a total beyond what was agreed was said. */
static void after_accept(struct world *w, int part, double k_before)
{
    const struct batch *b = &w->t.batch;
    w->slack_g += w->d_g;
    if (b->state == BATCH_OVER)
        return;
    bool said = b->said.code[0] != '\0';
    double k = batch_k_aim(b);
    if (said_is(&b->said, "grew"))
        w->settled_g[part] = counted(w, part);
    if (!said && k > b->wanted_g * (1 + b->set.auto_grow_pct / 100) * (1 + 1e-9) && k > k_before + w->d_g)
        FAIL(w, "the total went from %.3f to %.3f without a word, %.3f were wanted", k_before, k, b->wanted_g);
}

static void accept_shown(struct world *w, bool on_shown_aim)
{
    struct command c = bench_command_of(COMMAND_ACCEPT);
    int part = open_part(w);
    double k = batch_k_aim(&w->t.batch);
    bool colour = part < TONERS;
    if (!try_it(w, &c)) {
        if (on_shown_aim)
            FAIL(w, "0 to go is refused: %s", w->t.fault.why);
        return;
    }
    note(w, "accept", 0);
    if (on_shown_aim && w->t.batch.state == BATCH_OVER)
        FAIL(w, "0 to go is over");
    double k_now = batch_k_aim(&w->t.batch);
    if (on_shown_aim && colour && w->t.batch.said.code[0] == '\0' && k_now > k * 1.005 + 2 * w->d_g)
        FAIL(w, "0 to go moved the total from %.3f to %.3f without a word", k, k_now);
    after_accept(w, part, k);
}

/* What the screen shows as to go: the aim to d, less the reading. */
static double to_go(const struct world *w)
{
    const struct batch *b = &w->t.batch;
    double aim = round(batch_step_aim_g(b, (size_t)b->open) / w->d_g) * w->d_g;
    return aim - b->step_g[b->open] - (double)track_pour_ug(&w->t.track) / 1e6;
}

static void act_pour(struct world *w)
{
    const struct batch *b = &w->t.batch;
    int part = open_part(w);
    if (b->now == NOW_TINT) {
        pour(w, part, 0.5 + chance(w) * 3);
        accept_shown(w, false);
        unsettle(w);
        return;
    }
    double go = to_go(w), how = chance(w);
    bool nothing =
        batch_step_aim_g(b, (size_t)b->open) < w->d_g / 2 && track_pour_ug(&w->t.track) < llround(w->d_g * 0.4e6);
    if (how < 0.7) {
        bool poured = go > w->d_g / 2;
        if (poured)
            pour(w, part, go);
        /* The reading is rounded as well: only now the hand sees whether 0 to go is shown. */
        accept_shown(w, (poured && fabs(to_go(w)) < w->d_g * 0.499) || nothing);
    } else if (how < 0.85) {
        pour(w, part, fmax(0, go) + w->d_g * (double)(1 + below(w, 8)));
        accept_shown(w, false);
    } else if (how < 0.95) {
        pour(w, part, fmax(0, go) * (1.1 + chance(w)) + 0.3);
        accept_shown(w, false);
    } else if (go > 4 * w->d_g) {
        pour(w, part, go * chance(w));
    }
}

static void act_short(struct world *w, enum event_short mode)
{
    struct command c = bench_command_of(COMMAND_ACCEPT);
    double k = batch_k_aim(&w->t.batch), go = w->t.batch.now == NOW_STEP ? to_go(w) : 0;
    int part = open_part(w);
    if (w->t.batch.now != NOW_STEP)
        return;
    if (go > 4 * w->d_g && chance(w) < 0.7)
        pour(w, part, go * 0.6);
    c.short_mode = mode;
    if (!try_it(w, &c))
        return;
    note(w, mode == SHORT_LESS ? "less" : "short", 0);
    if (mode == SHORT_COUNTED && w->t.batch.state == BATCH_POUR && fabs(batch_k_aim(&w->t.batch) - k) > 1e-6 &&
        part < TONERS && open_part(w) == part && !said_is(&w->t.batch.said, "grew"))
        FAIL(w, "short moved the total from %.6f to %.6f", k, batch_k_aim(&w->t.batch));
    if (mode == SHORT_LESS)
        unsettle(w);
    after_accept(w, part, k);
}

static void act_wrong_tin(struct world *w)
{
    struct command c = bench_command_of(COMMAND_ACCEPT);
    static const struct recipe_part stranger = {.density_g_per_ml = 1, .price_per_kg = 10, .role = PART_COLOUR};
    int part = chance(w) < 0.5 ? TONERS + (int)below(w, STRANGERS) : (int)below(w, TONERS);
    double k = batch_k_aim(&w->t.batch);
    if (w->t.batch.now != NOW_STEP || track_pour_ug(&w->t.track) > llround(w->d_g * 2e6))
        return;
    name_of(part, c.really);
    pour(w, part, 0.5 + 4 * chance(w));
    c.part = malloc(sizeof *c.part);
    *c.part = stranger;
    memcpy(c.part->toner, c.really, 2);
    memcpy(c.part->name, c.really, 2);
    w->settled_g[part] = -1; /* more of it was poured: it may ask */
    bool done = try_it(w, &c);
    free(c.part);
    if (!done)
        FAIL(w, "a wrong tin is refused: %s", w->t.fault.why);
    note(w, "really", 0);
    after_accept(w, part, k);
}

static void act_tint(struct world *w)
{
    struct command c = bench_command_of(COMMAND_TINT);
    static const struct recipe_part toner = {.density_g_per_ml = 1, .price_per_kg = 10, .role = PART_COLOUR};
    int part = chance(w) < 0.5 ? TONERS + (int)below(w, STRANGERS) : (int)below(w, TONERS);
    /* What stands uncounted counts for the open step at a tint; the model has poured only that. */
    name_of(part, c.really);
    c.part = malloc(sizeof *c.part);
    *c.part = toner;
    memcpy(c.part->toner, c.really, 2);
    memcpy(c.part->name, c.really, 2);
    bool done = try_it(w, &c);
    free(c.part);
    if (done) {
        note(w, "tint", 0);
        w->slack_g += w->d_g;
    }
}

/* The right tin, or any other, which is refused and changes nothing. */
static void act_tin(struct world *w)
{
    struct command c = bench_command_of(COMMAND_TIN);
    int open = open_part(w), part = chance(w) < 0.7 ? open : (int)below(w, PARTS);
    name_of(part, c.really);
    snprintf(c.lot, sizeof c.lot, "L%d", ++w->tins);
    note(w, "tin of", part);
    if (try_it(w, &c) != (part == open))
        FAIL(w, "a tin of part %d where %d is open: %s", part, open, part == open ? w->t.fault.why : "taken");
    if (part != open && strcmp(w->t.fault.why, "wrong_tin") != 0)
        FAIL(w, "a wrong tin is refused as %s", w->t.fault.why);
}

/* After an undo the cup is taken again, or the paint of the wrong tin named again: the model pours nothing between. */
static void accept_again(struct world *w, const char *really)
{
    static const struct recipe_part stranger = {.density_g_per_ml = 1, .price_per_kg = 10, .role = PART_COLOUR};
    struct command c = bench_command_of(COMMAND_ACCEPT);
    memcpy(c.really, really, strlen(really) + 1);
    c.part = malloc(sizeof *c.part);
    *c.part = stranger;
    memcpy(c.part->toner, c.really, 2);
    memcpy(c.part->name, c.really, 2);
    bool done = try_it(w, &c);
    free(c.part);
    if (!done)
        FAIL(w, "what was undone is refused: %s", w->t.fault.why);
    note(w, "again", 0);
    w->slack_g += w->d_g;
}

static void act_undo(struct world *w)
{
    struct command c = bench_command_of(COMMAND_UNDO);
    const struct batch *b = &w->t.batch;
    /* The last accept's paint belongs to the open step again; the model pours no second toner before it is counted. */
    int last = -1;
    for (size_t i = b->events; i > 0 && last < 0; i--)
        if (b->history[i - 1]->kind == EVENT_ACCEPTED || b->history[i - 1]->kind == EVENT_CUP)
            last = (int)i - 1;
    if (last < 0)
        return;
    bool tint = last > 0 && b->history[last - 1]->kind == EVENT_TINT;
    memcpy(w->name, b->history[last]->toner, 2);
    bool wrong_tin = b->history[last]->toner[0] != '\0' && !tint, cup = b->history[last]->kind == EVENT_CUP;
    bool of_shelf = b->history[last]->cup[0] != '\0';
    double back_g = of_shelf ? b->history[last]->shelf_g : 0;
    int shelf = of_shelf ? atoi(b->history[last]->cup) - 100 : 0;
    bool uncounted = b->state == BATCH_POUR &&
                     (double)track_pour_ug(&w->t.track) / 1e6 > fmax(w->d_g, b->asked.tolerance_g) + w->d_g / 2;
    double counted_before = batch_content_g(b);
    int part = wrong_tin ? part_of(b->history[last]->toner) : -1;
    if (cup && w->zero_g > 0)
        return; /* a scale tared with the cup on it shows none */
    /* Up to a tolerance of the next toner may go with it: the model pours none. */
    bool some = b->state == BATCH_POUR && track_pour_ug(&w->t.track) > llround(w->d_g * 0.5e6);
    if (some && !uncounted)
        return;
    if (!try_it(w, &c))
        return;
    if (uncounted)
        FAIL(w, "undo with uncounted paint gives it to another toner (%.3f g counted before)", counted_before);
    note(w, "undo", 0);
    if (of_shelf)
        w->shelf[shelf].row_g += back_g;
    w->slack_g += w->d_g;
    unsettle(w);
    if (cup)
        accept_again(w, "");
    else if (wrong_tin) {
        w->pending = part;
        check_counts(w);
        accept_again(w, w->name);
        w->pending = -1;
    }
}

static void act_hold(struct world *w)
{
    struct command c = bench_command_of(COMMAND_HOLD);
    struct event e;
    double k = batch_k_aim(&w->t.batch);
    bool uncounted = w->t.batch.state == BATCH_POUR && w->t.track.active &&
                     llabs(track_pour_ug(&w->t.track)) > llround(w->d_g * 0.5e6);
    bool was_step = w->t.batch.now == NOW_STEP, was_dip = w->t.batch.now == NOW_TAKE_OUT;
    if (!try_it(w, &c))
        return;
    note(w, "hold", 0);
    w->zero_g = 0; /* the pan is empty, and set to 0 */
    settle(w, 0);
    event_init(&e, EVENT_RESUMED);
    e.settings = malloc(sizeof *e.settings);
    *e.settings = w->t.batch.set;
    /* Another bench may have another scale: then what is within tolerance is another question. */
    bool other = chance(w) < 0.5;
    if (other)
        w->d_g = e.settings->d_g = e.settings->tolerance_g = w->d_g > 0.05 ? 0.01 : 0.1;
    snprintf(e.station, sizeof e.station, other ? "other" : "same");
    assert_true(batch_fold(&w->t.batch, &w->t.track, &e));
    event_finish(&e);
    show(w);
    c = bench_command_of(COMMAND_ACCEPT);
    if (!try_it(w, &c))
        FAIL(w, "the cup of a resumed batch is refused: %s", w->t.fault.why);
    note(w, other ? "resumed elsewhere, d" : "resumed, d", w->d_g);
    w->slack_g += 2 * fmax(w->d_g, other ? 0.1 : 0);
    const struct batch *b = &w->t.batch;
    if ((was_step || was_dip) && b->state != BATCH_OVER && b->said.code[0] == '\0' &&
        batch_k_aim(b) > k * 1.005 + 2 * w->d_g)
        FAIL(w, "hold and resume moved the total from %.3f to %.3f without a word", k, batch_k_aim(b));
    if (!uncounted && was_step && !other && fabs(batch_k_aim(&w->t.batch) - k) > 1e-6)
        FAIL(w, "hold and resume moved the total from %.6f to %.6f", k, batch_k_aim(&w->t.batch));
}

/* The scale is tared by hand with the cup on it: the station asks, retare answers. */
static void act_retare(struct world *w)
{
    struct command c = bench_command_of(COMMAND_RETARE);
    double k = batch_k_aim(&w->t.batch);
    /* A scale that shows cup and all; from a small weight a tare looks like paint that was spooned out. */
    if (w->t.batch.now == NOW_TAKE_OUT || w->zero_g > 0)
        return;
    w->zero_g = w->tare_g + cup_g(w);
    show(w);
    note(w, "tared", 0);
    if (!try_it(w, &c))
        FAIL(w, "retare is refused: %s", w->t.fault.why);
    note(w, "retare", 0);
    w->slack_g += w->d_g;
    if (fabs(batch_k_aim(&w->t.batch) - k) > 1e-6)
        FAIL(w, "retare moved the total from %.6f to %.6f", k, batch_k_aim(&w->t.batch));
}

/* What growing offers is what it asks for, toner by toner: one part in two steps by its whole. The scale's interval and
 * the tolerance are the room, since aims follow what was poured. */
static void grows_as_offered(struct world *w, const struct batch_remedies *offer)
{
    const struct batch *b = &w->t.batch;
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const struct recipe_part *p = &b->recipe.part[b->recipe.step[s].part];
        double asked = 0, offered = 0;
        if (p->role != PART_COLOUR || p->share <= 0 || !batch_last_of_part(b, s))
            continue;
        for (size_t i = 0; i < b->recipe.steps; i++)
            if (b->recipe.step[i].part == b->recipe.step[s].part) {
                offered += offer->grow.add_g[i];
                asked += batch_step_wants(b, i) ? fmax(0, batch_step_aim_g(b, i) - b->step_g[i]) : 0;
            }
        if (fabs(asked - offered) > 2 * batch_step_tolerance_g(b, s) + 0.006 * p->share * batch_k_lo(b))
            FAIL(w, "of %s growing offers %.3f g more and asks for %.3f g", p->toner, offered, asked);
    }
}

static void act_remedy(struct world *w)
{
    struct batch_remedies offer;
    struct command c = bench_command_of(COMMAND_REMEDY);
    const struct batch *b = &w->t.batch;
    int part = part_of(b->recipe.part[b->recipe.step[b->over].part].toner);
    static const enum event_remedy choices[] = {REMEDY_GROW, REMEDY_DIP, REMEDY_LEAVE, REMEDY_RESCUE};
    c.remedy = choices[below(w, 4)];
    double mine = counted(w, part);
    if (c.remedy == REMEDY_RESCUE && b->rescue.cups == 0)
        c.remedy = REMEDY_GROW;
    batch_remedies(b, &offer);
    if (!try_it(w, &c)) {
        c.remedy = REMEDY_LEAVE;
        if (!try_it(w, &c))
            FAIL(w, "leave is refused: %s", w->t.fault.why);
    }
    note(w, event_remedy_names[c.remedy], mine);
    if (c.remedy == REMEDY_GROW)
        grows_as_offered(w, &offer);
    if (c.remedy == REMEDY_RESCUE)
        w->rescues++;
    if (c.remedy == REMEDY_DIP || c.remedy == REMEDY_RESCUE)
        unsettle(w);
    else
        w->settled_g[part] = mine;
}

static void act_take_out(struct world *w)
{
    struct command c = bench_command_of(COMMAND_ACCEPT);
    const struct batch *b = &w->t.batch;
    double take = fmin(cup_g(w) * 0.95, chance(w) < 0.7 ? b->take_g : b->take_g * (0.3 + chance(w)));
    take = fmax(take, 2 * w->d_g);
    double keep = (cup_g(w) - take) / cup_g(w);
    for (int p = 0; p < PARTS; p++)
        w->in_g[p] *= keep;
    note(w, "take out", take);
    show(w);
    if (!try_it(w, &c))
        FAIL(w, "what was taken out is refused: %s", w->t.fault.why);
    w->slack_g += w->d_g;
    unsettle(w);
}

/* Some is out, not enough of it, and the cup leaves the scale. */
static void hold_in_mid_dip(struct world *w)
{
    double take = fmin(cup_g(w) * 0.9, w->t.batch.take_g * (0.2 + 0.7 * chance(w)));
    if (take < 4 * w->d_g)
        return;
    double keep = (cup_g(w) - take) / cup_g(w);
    for (int p = 0; p < PARTS; p++)
        w->in_g[p] *= keep;
    note(w, "some out", take);
    show(w);
    unsettle(w);
    act_hold(w);
}

/* ---- a walk ---- */

static void begin(struct world *w)
{
    struct bench_part parts[TONERS + 1 + ADDITIONS];
    char names[TONERS + ADDITIONS][2];
    bool product = chance(w) < 0.2; /* clear 4:1:1 */
    size_t n = product ? 1 : 1 + below(w, TONERS), count = 0;
    for (size_t i = 0; i < n; i++) {
        name_of((int)i, names[i]);
        double size = chance(w) < 0.3 ? 0.05 + chance(w) : 5 + 60 * chance(w);
        parts[count++] = (struct bench_part){names[i], size, PART_COLOUR, 0};
    }
    if (n > 1 && chance(w) < 0.3)
        parts[count++] = (struct bench_part){names[0], 5 + 20 * chance(w), PART_COLOUR, 0};
    if (product || chance(w) < 0.4)
        parts[count++] = (struct bench_part){"h", 0, PART_HARDENER, 0.25};
    if (product || chance(w) < 0.5)
        parts[count++] = (struct bench_part){"r", 0, PART_REDUCER, product ? 0.25 : 0.2};
    bench_begin(&w->t, parts, count, 50 + 400 * chance(w));
    fill_shelf(w);
    begin_as(w, chance(w) < 0.5 ? 0.1 : 0.01);
    w->tare_g = 30;
    w->slack_g = 2 * w->d_g;
    w->pending = -1;
    unsettle(w);
    show(w);
    struct command cup = bench_command_of(COMMAND_ACCEPT);
    assert_true(try_it(w, &cup));
}

static void act(struct world *w)
{
    double what = chance(w);
    offer_rescue(w);
    switch (w->t.batch.state) {
    case BATCH_OVER:
        if (what < 0.1)
            act_undo(w);
        else
            act_remedy(w);
        return;
    case BATCH_DONE:
        if (what < 0.3)
            act_tint(w);
        else if (what < 0.5)
            act_undo(w);
        else if (what < 0.7)
            act_hold(w);
        return;
    case BATCH_POUR:
        break;
    default:
        return;
    }
    if (w->t.batch.now == NOW_TAKE_OUT && what < 0.2)
        hold_in_mid_dip(w);
    else if (w->t.batch.now == NOW_TAKE_OUT)
        act_take_out(w);
    else if (w->t.batch.now == NOW_CUP && what < 0.85)
        act_cup(w);
    else if (w->t.batch.now == NOW_CUP)
        what < 0.9 ? act_undo(w) : what < 0.95 ? act_hold(w) : act_lift(w);
    else if (what < 0.08)
        act_tin(w);
    else if (what < 0.6)
        act_pour(w);
    else if (what < 0.68)
        act_short(w, SHORT_COUNTED);
    else if (what < 0.72)
        act_short(w, SHORT_LESS);
    else if (what < 0.77)
        act_wrong_tin(w);
    else if (what < 0.80 && w->t.batch.now == NOW_STEP)
        act_tint(w);
    else if (what < 0.87)
        act_undo(w);
    else if (what < 0.92)
        act_hold(w);
    else if (what < 0.96)
        act_lift(w);
    else
        act_retare(w);
}

/* How many rescues were chosen. */
static size_t walk(unsigned long long seed)
{
    struct world *w = calloc(1, sizeof *w);
    assert_non_null(w);
    w->seed = seed * 2654435761u + 88172645463325252ull;
    note(w, "seed", (double)seed);
    begin(w);
    for (int i = 0; i < ACTS; i++) {
        act(w);
        check_all(w);
        check_contents(w);
    }
    size_t rescues = w->rescues;
    bench_end(&w->t);
    free(w);
    return rescues;
}

static void walks_keep_what_was_poured_and_ask_once(void **state)
{
    const char *walks = getenv("WALKS"), *from = getenv("SEED");
    unsigned long long count = walks ? strtoull(walks, NULL, 10) : 200, seed = from ? strtoull(from, NULL, 10) : 1;
    (void)state;
    unsigned long long rescues = 0;
    assert_true(lpsolve_open(&shelf_solver, 20));
    for (unsigned long long i = 0; i < count; i++)
        rescues += walk(seed + i);
    lpsolve_close(&shelf_solver);
    if (count >= 100 && rescues < count / 20)
        fail_msg("only %llu rescues in %llu walks", rescues, count);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(walks_keep_what_was_poured_and_ask_once)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

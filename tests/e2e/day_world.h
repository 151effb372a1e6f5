/* day_world.h - a shop as a person at the bench would know it, for walks at random (test_day_walk.c): what its tins
 * hold, which cups stand where with how much, what its orders are. Acts of the day that are no pours, and what must
 * hold after each act. World: story.h. For one test alone, so all of it is static.
 */
#ifndef TESTS_E2E_DAY_WORLD_H
#define TESTS_E2E_DAY_WORLD_H

#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { TINS = 5, CUPS = 4096, ORDERS = 256, COATS = 4, CARDS = 4096 };
static const char *const tins[TINS] = {"A", "B", "C", "D", "RS"};
static const double tare_g = 30, hair_g = 2e-4;

/* What a person at the bench would know. */
struct cup {
    char state[12];
    double total_g, left_g; /* left_g NAN: never weighed back */
    bool activated, placed, past;
    int order, coat; /* 0: none */
};
struct shop {
    struct harness *h;
    uint64_t seed;
    char story[4096]; /* what was done in this story, for a fault */
    double tin_g[TINS];
    bool counted[TINS];
    struct cup cup[CUPS];
    int cups, orders; /* the next number of each, from 1 */
    int cards, requests;
    int coats[ORDERS];
};
static struct shop shop;

/* xorshift64, from memory; a fixed seed, so that a fault comes back. */
static double draw(void)
{
    shop.seed ^= shop.seed << 13;
    shop.seed ^= shop.seed >> 7;
    shop.seed ^= shop.seed << 17;
    return (double)(shop.seed >> 11) / 9007199254740992.0;
}

static int pick(int n)
{
    return (int)(draw() * n);
}

static double grams(double least, double most)
{
    return round((least + draw() * (most - least)) * 100) / 100;
}

/* A line of the story. */
__attribute__((format(printf, 1, 2))) static void tell(const char *format, ...)
{
    size_t used = strlen(shop.story);
    va_list args;
    va_start(args, format);
    vsnprintf(shop.story + used, sizeof shop.story - used, format, args);
    va_end(args);
}

static void differs(const char *what, double is, double want)
{
    fail_msg("%s is %.6f and not %.6f after:%s", what, is, want, shop.story);
}

static void same(const char *what, double is, double want)
{
    if (!(fabs(is - want) <= hair_g) && !(isnan(is) && isnan(want)))
        differs(what, is, want);
}

static double number_of(json_t *object, const char *path)
{
    const json_t *value = story_at(object, path);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

/* ---- the tins ---- */

static int tin_of(const char *toner)
{
    for (int i = 0; i < TINS; i++)
        if (strcmp(tins[i], toner) == 0)
            return i;
    return -1;
}

static void poured(const char *toner, double g)
{
    int i = tin_of(toner);
    if (i >= 0 && shop.counted[i])
        shop.tin_g[i] -= g;
}

static void a_tin(void)
{
    int i = pick(TINS);
    double g = grams(0, 3000);
    bool count = draw() < 0.4;
    tell(" %s %s %.2f", count ? "count" : "receive", tins[i], g);
    json_t *row =
        story_call(shop.h, count ? "stock.count" : "stock.receive", "{'toner':'%s','grams':%.2f}", tins[i], g);
    if (count && shop.counted[i])
        same("difference", number_of(row, "difference_g"), g - shop.tin_g[i]);
    shop.tin_g[i] = count || !shop.counted[i] ? g : shop.tin_g[i] + g;
    shop.counted[i] = true;
    same("tin", number_of(row, "grams"), shop.tin_g[i]);
    if (draw() < 0.2)
        story_call(shop.h, "stock.stir", "{'all':true}");
}

static void tins_hold_what_they_should(void)
{
    json_t *list = story_call(shop.h, "stock.list", "{}"), *row;
    size_t i;
    json_array_foreach(json_object_get(list, "stock"), i, row)
    {
        int tin = tin_of(json_string_value(json_object_get(row, "toner")));
        if (tin >= 0 && shop.counted[tin])
            same(tins[tin], number_of(row, "grams"), shop.tin_g[tin]);
    }
}

/* ---- orders and cards ---- */

/* A new order of one to four coats, or one coat more of an old one. */
static void an_order(void)
{
    bool more = shop.orders > 1 && draw() < 0.3;
    int order = more ? 1 + pick(shop.orders - 1) : shop.orders++;
    char coats[512] = "";
    if (!more && order >= ORDERS - 1)
        shop.orders--;
    if (order >= ORDERS - 1 || (more && shop.coats[order] == COATS))
        return;
    shop.coats[order] = more ? shop.coats[order] + 1 : 1 + pick(COATS);
    for (int n = 0; n < shop.coats[order]; n++)
        snprintf(coats + strlen(coats), sizeof coats - strlen(coats), "%s{'formula':'TS-1','grams':%d}", n ? "," : "",
                 40 + 10 * n);
    tell(" order %d of %d coats", order, shop.coats[order]);
    story_call(shop.h, "order.put", "{'order':'%d','painter':'Ines','coats':[%s]}", order, coats);
}

static void a_card(void)
{
    static const char *const verdicts[] = {"match", "near", "no"};
    char of[64] = "'formula':'TS-1','coat':'base'";
    int batch = shop.cups > 1 ? 1 + pick(shop.cups - 1) : 0;
    if (batch && strcmp(shop.cup[batch].state, "finished") == 0 && draw() < 0.6)
        snprintf(of, sizeof of, "'batch':'%d'", batch);
    tell(" card");
    story_call(shop.h, "card.put", "{%s,'coats':%d,'light':['sun'],'verdict':'%s'}", of, 1 + pick(12),
               verdicts[pick(3)]);
    shop.cards++;
}

/* What an order's coat is, told from its batches in the words of the contract. */
static const char *coat_is(int order, int coat)
{
    const char *is = "not_mixed";
    for (int i = 1; i < shop.cups; i++) {
        const struct cup *c = &shop.cup[i];
        if (c->order != order || c->coat != coat)
            continue;
        if (strcmp(c->state, "open") == 0 || strcmp(c->state, "held") == 0)
            return "mixing";
        if (strcmp(c->state, "finished") == 0 && strcmp(is, "left_over") != 0)
            is = c->left_g > 0 ? "left_over" : "mixed";
    }
    return is;
}

static void orders_follow_their_batches(void)
{
    if (shop.orders < 2)
        return;
    int order = 1 + pick(shop.orders - 1);
    json_t *o = story_call(shop.h, "order.get", "{'order':'%d'}", order), *coat;
    size_t i;
    json_array_foreach(json_object_get(o, "coats"), i, coat)
    {
        const char *is = json_string_value(json_object_get(coat, "state")), *want = coat_is(order, (int)i + 1);
        if (strcmp(is, want) != 0)
            fail_msg("coat %zu of order %d is %s and not %s after:%s", i + 1, order, is, want, shop.story);
    }
}

/* ---- the shelf ---- */

/* A finished cup; 0: none was found. */
static int finished_cup(void)
{
    for (int tries = 0; shop.cups > 1 && tries < 20; tries++) {
        int i = 1 + pick(shop.cups - 1);
        if (strcmp(shop.cup[i].state, "finished") == 0)
            return i;
    }
    return 0;
}

static double holds(const struct cup *c)
{
    return isnan(c->left_g) ? c->total_g : c->left_g;
}

/* So much less in it. */
static void take(struct cup *c, double g)
{
    c->left_g = holds(c) - g < 5e-7 ? 0 : holds(c) - g;
}

static void weigh_back(struct cup *c, int batch)
{
    bool touch_up = shop.orders > 1 && draw() < 0.3;
    double left = grams(0, holds(c)), was = holds(c);
    char order[32] = "";
    if (touch_up)
        snprintf(order, sizeof order, ",'order':'%d'", 1 + pick(shop.orders - 1));
    left = fmin(left, floor(was * 100) / 100);
    tell(" weigh back %d: %.2f%s", batch, left, order);
    json_t *r = story_call(shop.h, "batch.weigh_back", "{'batch':'%d','gross_g':%.2f%s}", batch, tare_g + left, order);
    same("left", number_of(r, "left_g"), left);
    same("used", number_of(r, "used_g"), was - left);
    c->left_g = left;
}

static void discard(struct cup *c, int batch)
{
    double has = holds(c), part = grams(0, has);
    bool all = draw() < 0.5;
    tell(" discard %d: %.2f of %.2f", batch, all ? has : part, has);
    if (!(has > 0) || (!all && !(part > 0 && part <= has))) {
        if (!(has > 0))
            story_fault(shop.h, "batch.discard", -32004, "{'batch':'%d'}", batch);
        return;
    }
    json_t *r = all ? story_call(shop.h, "batch.discard", "{'batch':'%d'}", batch)
                    : story_call(shop.h, "batch.discard", "{'batch':'%d','grams':%.2f}", batch, part);
    take(c, all ? has : part);
    if (c->left_g == 0)
        c->placed = false;
    same("left of a discarded cup", number_of(r, "left_g"), c->left_g);
}

static void a_cup_of_the_shelf(void)
{
    int batch = finished_cup();
    struct cup *c = &shop.cup[batch];
    double what = draw();
    if (!batch)
        return;
    if (what < 0.5) {
        weigh_back(c, batch);
    } else if (what < 0.75) {
        bool past = draw() < 0.2;
        tell(" shelve %d", batch);
        story_call(shop.h, "batch.shelve", "{'batch':'%d','place':'rack %d','use_by':'%s'}", batch, pick(4),
                   past ? "2020-02-29" : "2090-01-01");
        c->placed = true;
        c->past = past && !c->activated;
    } else {
        discard(c, batch);
    }
}

/* Whether it must stand in the list of the shelf. */
static bool belongs_on_shelf(const struct cup *c)
{
    return strcmp(c->state, "finished") == 0 && (c->left_g > 0 || (isnan(c->left_g) && c->placed));
}

/* Every cup that has something left, or stands somewhere unweighed, and no other; each once, with why it must go. */
static void the_shelf_is_what_is_left(void)
{
    static bool seen[CUPS];
    char after[32] = "null";
    memset(seen, 0, sizeof seen);
    while (after[0]) {
        json_t *list = story_call(shop.h, "shelf.list", "{'limit':40,'after':%s}", after), *row;
        size_t i;
        json_array_foreach(json_object_get(list, "cups"), i, row)
        {
            int n = atoi(json_string_value(json_object_get(row, "batch")));
            const struct cup *c = &shop.cup[n];
            const char *why = json_string_value(json_object_get(row, "why"));
            same("left on the shelf", number_of(row, "left_g"), c->left_g);
            if (strcmp(why ? why : "", c->activated ? "activated" : c->past ? "past" : "") != 0)
                fail_msg("cup %d must go because %s after:%s", n, why ? why : "of nothing", shop.story);
            if (seen[n] || !belongs_on_shelf(c))
                fail_msg("cup %d stands there %s after:%s", n, seen[n] ? "twice" : "and is empty", shop.story);
            seen[n] = true;
        }
        const char *next = json_string_value(json_object_get(list, "next"));
        after[0] = '\0';
        if (next)
            snprintf(after, sizeof after, "'%s'", next);
    }
    for (int i = 1; i < shop.cups; i++)
        if (!seen[i] && belongs_on_shelf(&shop.cup[i]))
            fail_msg("cup %d, %.2f g, is not on the shelf after:%s\n%s", i, shop.cup[i].left_g, shop.story,
                     json_dumps(story_call(shop.h, "batch.get", "{'batch':'%d','events':0}", i), JSON_COMPACT));
}

/* No cup gives more than it holds, none that is activated or past gives at all. */
static void no_work_off_takes_what_may_not_go(void)
{
    double wanted = grams(20, 600), sum = 0;
    json_t *w = story_call(shop.h, "mix.workoff", "{'formula':'TS-1','grams':%.2f,'tolerance_g':0.05}", wanted), *have;
    size_t i;
    json_array_foreach(json_object_get(w, "have"), i, have)
    {
        const struct cup *c = &shop.cup[atoi(json_string_value(json_object_get(have, "batch")))];
        double g = number_of(have, "grams");
        sum += g;
        if (c->activated || c->past || isnan(c->left_g) || g > c->left_g + hair_g || strcmp(c->state, "finished") != 0)
            fail_msg("the work-off takes %.3f of what may not go after:%s", g, shop.story);
    }
    double adds = 0;
    json_array_foreach(json_object_get(w, "add_g"), i, have) adds += json_number_value(have);
    if (sum + adds < wanted - 0.01)
        fail_msg("%.2f and %.2f make less than %.2f after:%s", sum, adds, wanted, shop.story);
}

#endif

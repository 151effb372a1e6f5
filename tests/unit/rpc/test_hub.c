/* The hub: notes by station, each wrapped as its transport says, and one place for the newest weight. */
#include "rpc/hub.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct client {
    struct hub_subscriber subscriber;
    struct hub *hub;
    char got[2000];
    bool full, leaves; /* takes no weight now; ends at the next note */
};

static void add(struct client *c, const char *text, size_t len)
{
    strncat(c->got, text, len);
    if (c->leaves)
        hub_leave(c->hub, &c->subscriber);
}

static void take(struct hub_subscriber *s, const char *text, size_t len)
{
    add((struct client *)s, text, len);
}

static bool offer(struct hub_subscriber *s, const char *text, size_t len)
{
    struct client *c = (struct client *)s;
    if (c->full)
        return false;
    add(c, text, len);
    return true;
}

static const struct hub_transport lines = {
    .head = {"weight ", "screen ", "scale "}, .tail = "\n", .take = take, .offer = offer};
static const struct hub_transport events = {
    .head = {"event: weight\ndata: ", "event: screen\ndata: ", "event: scale\ndata: "},
    .tail = "\n\n",
    .take = take,
    .offer = offer,
};

static struct client *join(struct hub *hub, struct client *c, const struct hub_transport *t, const char *station)
{
    c->subscriber.transport = t;
    c->hub = hub;
    assert_true(hub_watch(hub, &c->subscriber, station));
    return c;
}

static void weight(struct hub *hub, const char *station, int g)
{
    char text[40];
    hub_publish_text(hub, station, HUB_WEIGHT, text, (size_t)snprintf(text, sizeof text, "{\"g\":%d}", g));
}

static void wraps_a_note_as_each_transport_sends_it(void **state)
{
    (void)state;
    struct hub hub = {0};
    struct client a = {0}, b = {0}, c = {0}, other = {0};
    join(&hub, &a, &lines, "bench");
    join(&hub, &b, &events, "bench");
    join(&hub, &c, &lines, "bench");
    join(&hub, &other, &lines, "second");
    weight(&hub, "bench", 5);
    hub_publish(&hub, "bench", HUB_SCREEN, json_pack("{s:i}", "revision", 3));
    hub_publish(&hub, "nobody", HUB_SCREEN, json_object());
    assert_string_equal(a.got, "weight {\"g\":5}\nscreen {\"revision\":3}\n");
    assert_string_equal(c.got, a.got);
    assert_string_equal(b.got, "event: weight\ndata: {\"g\":5}\n\nevent: screen\ndata: {\"revision\":3}\n\n");
    assert_string_equal(other.got, "");
    hub_leave(&hub, &a.subscriber);
    hub_leave(&hub, &b.subscriber);
    assert_true(hub_watched(&hub, "bench"));
    hub_leave(&hub, &c.subscriber);
    assert_false(hub_watched(&hub, "bench"));
    hub_leave(&hub, &other.subscriber);
    hub_finish(&hub);
}

static void keeps_the_newest_weight_of_each_station_and_queues_none(void **state)
{
    (void)state;
    struct hub hub = {0};
    struct client a = {.full = true}, b = {0};
    join(&hub, &a, &lines, "bench");
    join(&hub, &a, &lines, "second");
    join(&hub, &b, &lines, "bench");
    for (int i = 1; i <= 3; i++)
        weight(&hub, "bench", i);
    weight(&hub, "second", 9);
    assert_string_equal(a.got, "");
    assert_string_equal(b.got, "weight {\"g\":1}\nweight {\"g\":2}\nweight {\"g\":3}\n");
    hub_flush(&a.subscriber);
    assert_string_equal(a.got, "");
    a.full = false;
    hub_flush(&a.subscriber);
    assert_non_null(strstr(a.got, "weight {\"g\":3}\n"));
    assert_non_null(strstr(a.got, "weight {\"g\":9}\n"));
    assert_int_equal(strlen(a.got), 2 * strlen("weight {\"g\":3}\n"));
    hub_leave(&hub, &a.subscriber);
    hub_leave(&hub, &b.subscriber);
    hub_finish(&hub);
}

static void screen(struct hub *hub, int revision, int n)
{
    hub_publish(hub, "bench", HUB_SCREEN, json_pack("{s:i,s:i}", "revision", revision, "n", n));
}

/* A screen of the same revision follows up to ten times a second: a client that pauses would be drowned in them. */
static void keeps_the_newest_screen_of_one_revision_and_never_goes_back(void **state)
{
    (void)state;
    struct hub hub = {0};
    struct client a = {.full = true};
    join(&hub, &a, &lines, "bench");
    screen(&hub, 3, 1);
    screen(&hub, 3, 2);
    screen(&hub, 3, 3);
    assert_string_equal(a.got, "screen {\"revision\":3,\"n\":1}\n");
    a.got[0] = '\0';
    screen(&hub, 4, 4);
    a.full = false;
    hub_flush(&a.subscriber);
    assert_string_equal(a.got, "screen {\"revision\":4,\"n\":4}\n");
    a.got[0] = '\0';
    a.full = true;
    screen(&hub, 4, 5);
    screen(&hub, 4, 6);
    a.full = false;
    hub_flush(&a.subscriber);
    assert_string_equal(a.got, "screen {\"revision\":4,\"n\":6}\n");
    hub_leave(&hub, &a.subscriber);
    hub_finish(&hub);
}

static void lets_a_client_go_in_the_middle_of_a_note(void **state)
{
    (void)state;
    struct hub hub = {0};
    struct client a = {0}, b = {.leaves = true}, c = {0};
    join(&hub, &a, &lines, "bench");
    join(&hub, &b, &lines, "bench");
    join(&hub, &c, &lines, "bench");
    weight(&hub, "bench", 1);
    weight(&hub, "bench", 2);
    assert_string_equal(b.got, "weight {\"g\":1}\n");
    assert_string_equal(a.got, "weight {\"g\":1}\nweight {\"g\":2}\n");
    assert_string_equal(c.got, a.got);
    a.leaves = true;
    hub_leave(&hub, &c.subscriber);
    hub_publish(&hub, "bench", HUB_SCALE, json_object()); /* the last one leaves, and the station with it */
    assert_false(hub_watched(&hub, "bench"));
    hub_finish(&hub);
}

static void watches_a_station_once_and_at_most_so_many(void **state)
{
    (void)state;
    struct hub hub = {0};
    struct client a = {0};
    char name[8];
    join(&hub, &a, &lines, "bench");
    join(&hub, &a, &lines, "bench");
    weight(&hub, "bench", 1);
    assert_string_equal(a.got, "weight {\"g\":1}\n");
    hub_unwatch(&hub, &a.subscriber, "bench");
    hub_unwatch(&hub, &a.subscriber, "bench");
    assert_int_equal(a.subscriber.count, 0);
    for (int i = 0; i < HUB_WATCH_MAX; i++) {
        snprintf(name, sizeof name, "s%d", i);
        join(&hub, &a, &lines, name);
    }
    assert_false(hub_watch(&hub, &a.subscriber, "more"));
    assert_false(hub_watched(&hub, "more"));
    hub_leave(&hub, &a.subscriber);
    assert_null(hub.first);
    hub_finish(&hub);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wraps_a_note_as_each_transport_sends_it),
        cmocka_unit_test(keeps_the_newest_weight_of_each_station_and_queues_none),
        cmocka_unit_test(keeps_the_newest_screen_of_one_revision_and_never_goes_back),
        cmocka_unit_test(lets_a_client_go_in_the_middle_of_a_note),
        cmocka_unit_test(watches_a_station_once_and_at_most_so_many),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

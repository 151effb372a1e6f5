/* hand.c - does what it is told and answers when it has come true. It knows the load and the wire by their headers and
 * no family of frames. */
#include "drivers/sim/hand.h"
#include <math.h>
#include <string.h>

enum { LIMIT_S = 10 }; /* a reading that is not at rest after this long will not come to rest */

void sim_hand_init(struct sim_hand *hand, struct sim *sim, enum words_language language, FILE *out)
{
    *hand = (struct sim_hand){.sim = sim, .out = out, .language = language};
}

/* Flushed at once: a test waits for this very line. */
static void end_line(struct sim_hand *hand)
{
    fputc('\n', hand->out);
    fflush(hand->out);
}

/* One line of answer, as printf. */
#define SAY(hand, ...) (fprintf((hand)->out, __VA_ARGS__), end_line(hand))

/* The answer to what cannot be done: the word, and why by its code. */
static void refuse(struct sim_hand *hand, const char *word, const char *code)
{
    SAY(hand, "error %s: %s", word, words_of(hand->language, code));
}

/* The same for a reason that names its word, or path, by itself. */
static void refuse_said(struct sim_hand *hand, const char *before, const struct said *why)
{
    char text[SAID_TEXT_MAX];
    SAY(hand, "error %s%s", before, said_text(why, hand->language, NULL, text, sizeof text));
}

/* What the display shows, in grams with the places of d. No minus before a zero, as no scale shows one. */
static const char *shown(const struct sim_hand *hand, char text[40])
{
    struct load_interval d = hand->sim->load.set.d;
    struct load_reading reading = load_read(&hand->sim->load);
    double g = (double)reading.steps * load_interval_g(d);
    snprintf(text, 40, "%.*f", d.exponent < 0 ? -d.exponent : 0, fabs(g) < load_interval_g(d) / 2 ? 0.0 : g);
    return text;
}

/* The truth beside what is shown, so that a test can tell a fault of the scale from one of ours. */
static void weigh(struct sim_hand *hand)
{
    static const char *const status[] = {[LOAD_OK] = "", [LOAD_OVER] = " over", [LOAD_UNDER] = " under"};
    const struct load *load = &hand->sim->load;
    struct load_reading reading = load_read(load);
    char text[40];
    SAY(hand, "ok true %.4f cup %.4f content %.4f air %.4f shown %s %s%s", load_on_pan_g(load), load->cup_g,
        load->content_g, load_in_air_g(load), shown(hand, text), reading.stable ? "stable" : "moving",
        status[reading.status]);
}

/* What a host has sent, in hex: a test sees that nobody tared by the wire. */
static void tell_heard(struct sim_hand *hand)
{
    uint8_t bytes[SIM_HEARD_MAX];
    size_t len = sim_link_heard(&hand->sim->link, bytes);
    fputs("ok heard", hand->out);
    for (size_t i = 0; i < len; i++)
        fprintf(hand->out, "%s%02x", i ? "" : " ", bytes[i]);
    end_line(hand);
}

/* A key waits for a steady reading, as a real one does; a second one meanwhile is refused. */
static void press(struct sim_hand *hand, enum sim_key key, int64_t now_us)
{
    if (hand->key != KEY_NONE) {
        refuse(hand, key == KEY_TARE ? "tare" : "zero", "sim_key_pressed");
        return;
    }
    hand->key = key;
    hand->key_us = now_us;
}

/* Dark at once, back after so many ms with a new zero; then it is answered. */
static void restart(struct sim_hand *hand, double ms, int64_t now_us)
{
    if (hand->restarting) {
        refuse(hand, "restart", "sim_dark");
        return;
    }
    hand->restarting = true;
    hand->sim->dark_until_us = now_us + (int64_t)(ms * 1000);
}

/* Both end what a host has open: it must find the port again by itself. */
static void plug(struct sim_hand *hand, bool in)
{
    struct said why;
    if (!in)
        sim_link_unplug(&hand->sim->link);
    else if (!sim_link_plug(&hand->sim->link, &why)) {
        refuse_said(hand, "plug: ", &why);
        return;
    }
    SAY(hand, "ok %s", in ? "plug" : "unplug");
}

/* The acts on the load; NULL when done, else the code of why not. */
static const char *act_on_load(struct load *load, const struct sim_act *act)
{
    switch (act->word) {
    case WORD_CUP:
        return load_cup(load, act->first);
    case WORD_OFF:
        return load_off(load);
    case WORD_LIFT:
        return load_lift(load);
    case WORD_PUT:
        return load_put(load);
    case WORD_ADD:
        return load_add(load, act->first);
    case WORD_REMOVE:
        return load_remove(load, act->first);
    case WORD_STOP:
        return load_stop(load);
    case WORD_DRIFT:
        load->set.drift_g_per_min = act->first;
        return NULL;
    case WORD_NOISE:
        load->set.noise_g = act->first;
        load->noise_g = 0;
        return NULL;
    default:
        return "sim_no_act";
    }
}

/* Begins; look_pour() answers when the last drop has landed and its frame is out. */
static void pour(struct sim_hand *hand, const struct sim_act *act)
{
    const char *why = hand->pouring ? "sim_pouring" : load_pour(&hand->sim->load, act->first, act->second);
    if (why) {
        refuse(hand, "pour", why);
        return;
    }
    hand->pouring = true;
    hand->landed_us = 0;
}

/* Words that take time answer later (sim_hand_look); all others at the end of this call. */
static void carry_out(struct sim_hand *hand, const struct sim_act *act, int64_t now_us)
{
    struct sim *sim = hand->sim;
    const char *name = sim_word_name(act->word);
    hand->sim->frame_is_settled = false; /* what goes out next counts */
    switch (act->word) {
    case WORD_POUR:
        pour(hand, act);
        return;
    case WORD_SETTLE:
        hand->settling_us = hand->settling++ ? hand->settling_us : now_us;
        return;
    case WORD_TARE:
    case WORD_ZERO:
        press(hand, act->word == WORD_TARE ? KEY_TARE : KEY_ZERO, now_us);
        return;
    case WORD_RESTART:
        restart(hand, act->first, now_us);
        return;
    case WORD_WEIGH:
        weigh(hand);
        return;
    case WORD_HEARD:
        tell_heard(hand);
        return;
    case WORD_PLUG:
    case WORD_UNPLUG:
        plug(hand, act->word == WORD_PLUG);
        return;
    case WORD_MUTE:
    case WORD_SPEAK:
        sim->muted = act->word == WORD_MUTE;
        break;
    case WORD_RAW:
        sim_send_raw(sim, act->raw, act->raw_len, false);
        break;
    case WORD_SAYS:
        sim->says = act->says;
        break;
    case WORD_QUIT:
        hand->quit = true;
        break;
    default: {
        const char *why = act_on_load(&sim->load, act);
        if (why) {
            refuse(hand, name, why);
            return;
        }
    }
    }
    SAY(hand, "ok %s", name);
}

/* The answer to a line that is no word begins with error, like every other refusal. */
void sim_hand_say(struct sim_hand *hand, const char *line, int64_t now_us)
{
    struct sim_act act;
    struct said why;
    line += strspn(line, " \t");
    if (!*line || *line == '#')
        return;
    if (sim_act_read(line, &act, &why))
        carry_out(hand, &act, now_us);
    else
        refuse_said(hand, "", &why);
}

/* The line itself is gone: the program keeps no more of it than the grammar takes. */
void sim_hand_refuse_line(struct sim_hand *hand, const char *line)
{
    const struct said why = say("sim_line_long word=%s most=%d", line, SIM_LINE_MAX - 1);
    refuse_said(hand, "", &why);
}

/* Since a noise above d would keep a waiting word for ever. */
static bool late(int64_t since_us, int64_t now_us)
{
    return now_us - since_us > (int64_t)LIMIT_S * 1000000;
}

/* `unsteady` is an answer too: the grams have landed, though the display never came to rest. */
static void look_pour(struct sim_hand *hand, int64_t now_us)
{
    const struct load *load = &hand->sim->load;
    if (!hand->pouring || load->pour.open)
        return;
    if (!hand->landed_us)
        hand->landed_us = now_us;
    bool settled = sim_settled(hand->sim);
    if (!settled && !late(hand->landed_us, now_us))
        return;
    hand->pouring = false;
    SAY(hand, "done %.4f%s", load->pour.landed_g, settled ? "" : " unsteady");
}

/* A pour that is open starts the waiting time anew: it may be longer than the limit. */
static void look_settle(struct sim_hand *hand, int64_t now_us)
{
    char text[40];
    bool settled = sim_settled(hand->sim);
    bool moving = hand->sim->load.pour.open;
    if (moving)
        hand->settling_us = now_us;
    for (; hand->settling && (settled || late(hand->settling_us, now_us)); hand->settling--) {
        if (settled)
            SAY(hand, "settled %s", shown(hand, text));
        else
            refuse(hand, "settle", "sim_never_rests");
    }
}

/* The key acts on the steady reading; the next frame is the first with the new zero. */
static void look_key(struct sim_hand *hand, int64_t now_us)
{
    if (hand->key == KEY_NONE)
        return;
    const char *name = hand->key == KEY_TARE ? "tare" : "zero";
    if (load_settled(&hand->sim->load)) {
        if (hand->key == KEY_TARE)
            load_tare(&hand->sim->load);
        else
            load_zero(&hand->sim->load);
        hand->sim->frame_is_settled = false;
        SAY(hand, "ok %s", name);
    } else if (late(hand->key_us, now_us)) {
        refuse(hand, name, "sim_key_waits");
    } else {
        return;
    }
    hand->key = KEY_NONE;
}

/* While it is dark nothing else can come true. */
void sim_hand_look(struct sim_hand *hand, int64_t now_us)
{
    if (hand->restarting && hand->sim->dark_until_us)
        return;
    if (hand->restarting)
        SAY(hand, "ok restart");
    hand->restarting = false;
    look_key(hand, now_us);
    look_pour(hand, now_us);
    look_settle(hand, now_us);
}

/* A scenario's `done+MS` and the end of standard input both wait for this. */
bool sim_hand_idle(const struct sim_hand *hand)
{
    return !hand->pouring && !hand->settling && !hand->restarting && hand->key == KEY_NONE;
}

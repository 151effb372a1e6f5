/* label_command.c - `poise label BATCH`: the label as a PDF, drawn here by poise-label, or printed by the daemon. It
 * must not know what stands on a label: the daemon answers it as an object, and poise-label draws what it is given.
 * Drawing in the person's own process means that the file belongs to the person, and that the daemon writes nowhere
 * but into its state folder. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/options.h"
#include "client/output.h"
#include "text/label_size.h"

#include <errno.h>
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <sysexits.h>
#include <unistd.h>

/* ---- poise-label, the program that draws: from beside our own program, or else from PATH ---- */

extern char **environ;

/* The path beside our own program where there is one, else the bare name for PATH. Programs of one build belong
 * together: a poise that is run from its build folder must not draw with an older one of the system. */
static void find_program(char *path, size_t size)
{
    static const char name[] = "poise-label";
    ssize_t len = readlink("/proc/self/exe", path, size - sizeof name);
    char *slash = len > 0 ? memrchr(path, '/', (size_t)len) : NULL;
    if (slash)
        memcpy(slash + 1, name, sizeof name);
    if (!slash || access(path, X_OK) != 0)
        memcpy(path, name, sizeof name);
}

/* The label as a file in memory: the program may end before it has read it, and nothing here waits or is killed. A
 * pipe would need a second process or a poll: the label may be larger than a pipe holds. The descriptor is closed by
 * the caller. */
static int label_file(const json_t *label)
{
    int fd = memfd_create("label", MFD_CLOEXEC);
    if (fd < 0)
        return -1;
    if (json_dumpfd(label, fd, JSON_COMPACT | JSON_REAL_PRECISION(15)) < 0 || lseek(fd, 0, SEEK_SET) < 0) {
        close(fd);
        return -1;
    }
    return fd;
}

/* posix_spawnp and no shell: a path may hold anything. It is called `poise`, so that its errors begin as ours do. Its
 * exit code is passed on as it is, since it has said on stderr what was wrong; one that a signal killed is ours to say.
 */
static int run(struct output_style style, const char *program, const char *path, int in)
{
    char *argv[] = {(char[]){"poise"}, (char *)(uintptr_t)path, NULL};
    posix_spawn_file_actions_t actions;
    pid_t pid;
    int status = 0;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, in, STDIN_FILENO);
    int why = posix_spawnp(&pid, program, &actions, NULL, argv, environ);
    posix_spawn_file_actions_destroy(&actions);
    if (why != 0)
        return failure_say(style, EX_SOFTWARE, "poise-label", "drawer_none why=%s", wording_errno(style, why));
    while (waitpid(pid, &status, 0) < 0)
        if (errno != EINTR)
            return failure_say(style, EX_SOFTWARE, "poise-label", "drawer_lost why=%s", wording_errno(style, errno));
    if (WIFEXITED(status))
        return WEXITSTATUS(status);
    return failure_say(style, EX_SOFTWARE, "poise-label", "drawer_signal signal=%d", WTERMSIG(status));
}

/* Draws the label (an object as poise-label reads it) into the file, `-` being stdout. 0, or its exit code after it has
 * said why on stderr. */
static int draw_label(struct output_style style, const json_t *label, const char *path)
{
    char program[4096], plain[4200];
    /* A file's name may begin with a dash; the program would take it for an option. */
    snprintf(plain, sizeof plain, "%s%s", path[0] == '-' && path[1] ? "./" : "", path);
    int in = label_file(label);
    if (in < 0)
        return failure_say(style, EX_IOERR, "label", "no_memory");
    find_program(program, sizeof program);
    fflush(stdout);
    int code = run(style, program, plain, in);
    close(in);
    return code;
}

/* ---- the command ---- */

/* The batch's number without `#` and `POISE:`, for a file's name: never anything but digits. As many digits as there
 * are; the caller looks whether that is all of it. */
static size_t number_of(const char *batch, const char **digits)
{
    *digits = strncmp(batch, "POISE:", 6) == 0 ? batch + 6 : batch + (*batch == '#');
    return strspn(*digits, "0123456789");
}

/* Before the daemon is asked: copies are 1 to 100. */
static int check_options(const struct poise_options *opt, int *copies)
{
    const char *size = opt->text[OPTION_SIZE], *text = opt->text[OPTION_COPIES];
    double width_mm, height_mm;
    *copies = 0;
    if (size && !label_size_read(size, &width_mm, &height_mm))
        return failure_say(opt->style, EX_USAGE, "--size", "label_no_size value=%s", size);
    return text ? number_read_count(opt->style, "--copies", text, 100, copies) : 0;
}

/* `copies` 0 asks for the label's content and prints nothing. A size left out is the shop's own from its
 * configuration. */
static json_t *params_for(const struct poise_options *opt, int copies)
{
    json_t *params = json_pack("{s:s, s:i}", "batch", opt->word[0], "copies", copies);
    if (opt->text[OPTION_SIZE])
        json_object_set_new(params, "size_mm", json_string(opt->text[OPTION_SIZE]));
    if (opt->text[OPTION_LID])
        json_object_set_new(params, "lid", json_true());
    return params;
}

/* Where the PDF goes: --out, else label-BATCH.pdf here. In the folder where the person stands; an older label of the
 * same batch is written over, as it shows the same cup. */
static void path_of(const struct poise_options *opt, char *path, size_t size)
{
    const char *digits;
    size_t len = number_of(opt->word[0], &digits);
    if (opt->text[OPTION_OUT])
        snprintf(path, size, "%s", opt->text[OPTION_OUT]);
    else
        snprintf(path, size, "label-%.*s.pdf", (int)len, digits);
}

/* The path alone on its line, so that a script can take it. */
static void say_done(const struct poise_options *opt, const char *path, int copies)
{
    if (opt->json) {
        json_t *done = json_pack("{s:s}", "batch", opt->word[0]);
        json_object_set_new(done, path ? "out" : "copies", path ? json_string(path) : json_integer(copies));
        output_json(done);
        json_decref(done);
    } else if (path) {
        output_text(path, opt->style, stdout);
        fputc('\n', stdout);
    } else {
        output_line(opt->style, "label_printed copies=%d batch=%s", copies, opt->word[0]);
    }
}

/* Asked without a request: nothing is printed and nothing kept, so it may be asked again at will. */
static int to_file(struct ask *a)
{
    char path[4096];
    json_t *result = NULL;
    int code = ask_call(a, "batch.label", params_for(a->opt, 0), &result);
    json_t *label = json_object_get(result, "label");
    if (code == 0 && !json_is_object(label))
        code = failure_say(a->opt->style, EX_SOFTWARE, a->what, "daemon_empty");
    if (code == 0) {
        path_of(a->opt, path, sizeof path);
        if (json_integer_value(json_object_get(label, "copies")) < 1)
            json_object_set_new(label, "copies", json_integer(1));
        if (a->opt->text[OPTION_SIZE])
            json_object_set_new(label, "size_mm", json_string(a->opt->text[OPTION_SIZE]));
        code = draw_label(a->opt->style, label, path);
    }
    if (code == 0 && strcmp(path, "-") != 0)
        say_done(a->opt, path, 0);
    json_decref(result);
    return code;
}

/* With a request: the same one never prints twice, whatever happens to the connection. */
static int to_printer(struct ask *a, int copies)
{
    json_t *result = NULL;
    int code = ask_change(a, "batch.label", params_for(a->opt, copies), &result);
    if (code == 0)
        say_done(a->opt, NULL, copies);
    json_decref(result);
    return code;
}

/* The number is checked here, as it becomes the name of a file: nothing but digits ever gets there. --out with
 * --copies does both, the file first. */
int command_label(struct poise_options *opt)
{
    struct ask a;
    int copies = 0;
    const char *digits;
    size_t len = number_of(opt->word[0], &digits);
    if (len == 0 || digits[len] != '\0')
        return failure_say(opt->style, EX_DATAERR, opt->word[0], "no_batch_number");
    int code = check_options(opt, &copies);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code == 0 && (copies == 0 || opt->text[OPTION_OUT]))
        code = to_file(&a);
    if (code == 0 && copies > 0)
        code = to_printer(&a, copies);
    ask_close(&a);
    return code;
}

/* What a painter is told when a port will not open: who may, who holds it, what to do. */
#include "tests/unit/drivers/far_end.h"

#include "drivers/transport.h"

#include <errno.h>
#include <grp.h>
#include <pwd.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/wait.h>

enum { ROOM = 1024 };

static void words_of_refusal(const char *path, int error, char why[ROOM])
{
    const struct said said = refusal_said(path, error);
    port_words(&said, WORDS_EN, why, ROOM);
}

static void permission_refused_names_all_that_mends_it(void **state)
{
    struct far_end *f = *state;
    char why[ROOM], mode[20];
    int fd = open(f->path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    struct stat node;
    assert_true(fd >= 0 && fchmod(fd, 0660) == 0 && fstat(fd, &node) == 0);
    close(fd);
    words_of_refusal(f->path, EACCES, why);
    snprintf(mode, sizeof mode, "mode %04o", (unsigned)node.st_mode & 07777);
    assert_non_null(strstr(why, getpwuid(geteuid())->pw_name));
    assert_non_null(strstr(why, getgrgid(node.st_gid)->gr_name));
    assert_non_null(strstr(why, mode));
    snprintf(mode, sizeof mode, "`adduser %.8s", getpwuid(geteuid())->pw_name);
    assert_non_null(strstr(why, mode));
    assert_int_equal(chmod(f->path, 0600), 0);
    words_of_refusal(f->path, EPERM, why);
    assert_non_null(strstr(why, "mode 0600"));
    assert_non_null(strstr(why, "udev rule"));
}

static void each_error_says_what_to_look_at(void **state)
{
    (void)state;
    static const struct {
        int error;
        const char *words;
    } rows[] = {{ENOENT, "is not there"},      {EIO, "is not there"},      {ENOTTY, "not a serial port"},
                {EISDIR, "not a serial port"}, {EBUSY, "another program"}, {EMFILE, "EMFILE"},
                {EACCES, "may not look into"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char why[ROOM];
        words_of_refusal("/no/such/port", rows[i].error, why);
        if (!strstr(why, rows[i].words) || (rows[i].error != EACCES && !strstr(why, "/no/such/port")))
            fail_msg("%d: %s", rows[i].error, why);
    }
}

/* A child holds the pty under a lock; it is named by its process number. */
static void who_holds_the_port_is_named(void **state)
{
    struct far_end *f = *state;
    int ready[2], done[2];
    char byte, why[ROOM], number[30];
    struct said said;
    far_end_plug_pty(f);
    assert_true(pipe(ready) == 0 && pipe(done) == 0);
    pid_t child = fork();
    if (child == 0) {
        int fd = open(f->path, O_RDWR | O_NOCTTY);
        bool held = fd >= 0 && flock(fd, LOCK_EX) == 0;
        held = write(ready[1], held ? "y" : "n", 1) == 1 && held;
        close(done[1]);
        _exit(held && read(done[0], &byte, 1) == 0 ? 0 : 1);
    }
    close(done[0]);
    assert_true(read(ready[0], &byte, 1) == 1 && byte == 'y');
    int fd = open(f->path, O_RDWR | O_NOCTTY | O_CLOEXEC);
    assert_false(refusal_lock(fd, f->path, &said));
    snprintf(number, sizeof number, "process %ld", (long)child);
    assert_non_null(strstr(port_words(&said, WORDS_EN, why, sizeof why), number));
    close(done[1]);
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    assert_true(refusal_lock(fd, f->path, &said));
    close(fd);
    close(ready[0]);
    close(ready[1]);
}

/* Two sections with the same port: no other program is to blame. */
static void another_station_is_told_from_another_program(void **state)
{
    struct far_end *f = *state;
    struct said said;
    far_end_plug_pty(f);
    int first = open(f->path, O_RDWR | O_NOCTTY | O_CLOEXEC), second = open(f->path, O_RDWR | O_NOCTTY | O_CLOEXEC);
    assert_true(first >= 0 && second >= 0);
    assert_true(refusal_lock(first, f->path, &said));
    assert_false(refusal_lock(second, f->path, &said));
    assert_true(said_is(&said, "port_shared"));
    close(first);
    assert_true(refusal_lock(second, f->path, &said));
    close(second);
}

static void a_path_that_is_no_port_is_told(void **state)
{
    struct far_end *f = *state;
    static const struct {
        const char *port, *words;
    } rows[] = {{"/dev/no-such-tty", "is not there"},   {"/dev/null", "not a serial port"},
                {"pty:/dev/null", "not a serial port"}, {"pty:/dev", "not a serial port"},
                {"hid:/dev/null", "not a scale"},       {"hid:/dev/no-such-hidraw", "is not there"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        f->closed = false;
        f->states = 0;
        far_end_open(f, rows[i].port, "hdr2", "");
        far_end_until(f, f->states == 1);
        assert_int_equal(f->state[0], PORT_ABSENT);
        if (!strstr(f->why, rows[i].words))
            fail_msg("%s: %s", rows[i].port, f->why);
        port_close(f->port, far_end_on_closed);
        far_end_until(f, f->closed);
    }
}

#define LIFE(test) cmocka_unit_test_setup_teardown(test, far_end_begin, far_end_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        LIFE(permission_refused_names_all_that_mends_it),
        cmocka_unit_test(each_error_says_what_to_look_at),
        LIFE(who_holds_the_port_is_named),
        LIFE(another_station_is_told_from_another_program),
        LIFE(a_path_that_is_no_port_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

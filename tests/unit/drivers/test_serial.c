/* serial.c by libserialport on a pty, which stands for a serial port: libserialport 0.1.1 refuses one, by its name in
 * /sys and at TIOCMGET. This program answers both in the system's place (a program's own function comes before the C
 * library's), and notes which modem lines were raised. Real drivers are tried by tests/vm. */
#include "tests/unit/drivers/far_end.h"

#include <errno.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/syscall.h>

#define FRAME "ST,+00123.45  g\r\n"

int ioctl(int fd, unsigned long request, ...);
int __lxstat(int version, const char *path, struct stat *out);

static int modem_lines;

int ioctl(int fd, unsigned long request, ...)
{
    va_list args;
    va_start(args, request);
    void *arg = va_arg(args, void *);
    va_end(args);
    switch (request) {
    case TIOCMGET:
        *(int *)arg = modem_lines;
        return 0;
    case TIOCMSET:
        modem_lines = *(int *)arg;
        return 0;
    case TIOCMBIS:
        modem_lines |= *(int *)arg;
        return 0;
    case TIOCMBIC:
        modem_lines &= ~*(int *)arg;
        return 0;
    default:
        return (int)syscall(SYS_ioctl, fd, request, arg);
    }
}

int __lxstat(int version, const char *path, struct stat *out)
{
    (void)version;
    if (strncmp(path, "/sys/class/tty/pts/", 19) != 0)
        return fstatat(AT_FDCWD, path, out, AT_SYMLINK_NOFOLLOW);
    memset(out, 0, sizeof *out);
    out->st_mode = S_IFLNK | 0777;
    return 0;
}

ssize_t readlink(const char *restrict path, char *restrict out, size_t size)
{
    static const char where[] = "../../devices/pnp0/tty/ttyS0";
    if (strncmp(path, "/sys/class/tty/pts/", 19) != 0)
        return syscall(SYS_readlink, path, out, size);
    size_t len = strlen(where) < size ? strlen(where) : size;
    memcpy(out, where, len);
    return (ssize_t)len;
}

/* A pty whose master never blocks: nobody reads it before the port is open. */
static void plug(struct far_end *f)
{
    far_end_plug_pty(f);
    assert_int_equal(fcntl(f->master, F_SETFL, O_NONBLOCK), 0);
}

/* Says it again and again: what comes while an adapter settles is dropped, and nothing tells when it has. */
static bool said_until_read(struct far_end *f, size_t readings)
{
    if (f->readings < readings && write(f->master, FRAME, strlen(FRAME)) < 0)
        assert_int_equal(errno, EAGAIN);
    return f->readings >= readings;
}

static void open_serial(struct far_end *f, const char *frame, int speed)
{
    static const struct port_events events = {.reading = far_end_on_reading, .state = far_end_on_state};
    struct port_settings settings = {.profile = "hdr2", .speed = speed};
    snprintf(settings.port, sizeof settings.port, "%s", f->path);
    snprintf(settings.frame, sizeof settings.frame, "%s", frame);
    modem_lines = 0;
    f->port = port_create(&f->loop, &settings, &events, f);
    assert_non_null(f->port);
}

static void a_serial_port_is_opened_set_up_and_ours_alone(void **state)
{
    struct far_end *f = *state;
    struct termios mode;
    int exclusive = 0;
    plug(f);
    open_serial(f, "7E1", 2400);
    far_end_until(f, said_until_read(f, 1));
    assert_true(f->last.weight_ug == 123450000);
    assert_int_equal(modem_lines & (TIOCM_RTS | TIOCM_DTR), TIOCM_RTS | TIOCM_DTR); /* some are silent without */
    assert_int_equal(tcgetattr(f->master, &mode), 0);
    assert_int_equal(cfgetispeed(&mode), B2400);
    assert_int_equal(mode.c_lflag & (ICANON | ECHO | ISIG), 0);
    int second = open(f->path, O_RDWR | O_NOCTTY | O_CLOEXEC); /* root may, all others are refused */
    if (second >= 0) {
        assert_int_equal(ioctl(second, TIOCGEXCL, &exclusive), 0);
        close(second);
        assert_int_equal(exclusive, 1);
    }
}

static void a_pulled_cable_is_absent_and_comes_back_under_another_number(void **state)
{
    struct far_end *f = *state;
    plug(f);
    int other = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC); /* takes the next number */
    open_serial(f, "8N1", 9600);
    far_end_until(f, said_until_read(f, 1));
    far_end_unplug_pty(f);
    far_end_until(f, port_state(f->port) == PORT_ABSENT);
    assert_non_null(strstr(f->why, "cable pulled"));
    plug(f);
    size_t before = f->readings;
    far_end_until(f, said_until_read(f, before + 1));
    assert_int_equal(port_state(f->port), PORT_LIVE);
    close(other);
}

static void silence_on_a_serial_port_is_no_pulled_cable(void **state)
{
    struct far_end *f = *state;
    plug(f);
    open_serial(f, "8N1", 9600);
    far_end_until(f, said_until_read(f, 1));
    far_end_until(f, port_state(f->port) != PORT_LIVE);
    assert_int_equal(port_state(f->port), PORT_STALE); /* read() says 0 here too: only with a hang-up is it gone */
}

#define LIFE(test) cmocka_unit_test_setup_teardown(test, far_end_begin, far_end_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        LIFE(a_serial_port_is_opened_set_up_and_ours_alone),
        LIFE(a_pulled_cable_is_absent_and_comes_back_under_another_number),
        LIFE(silence_on_a_serial_port_is_no_pulled_cable),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

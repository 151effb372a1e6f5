/* [rights]: who is named by a line, which role wins, and what the kernel says of the other end of a socket. */
#include "rights.h"

#include <grp.h>
#include <pwd.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cmocka.h>

/* Source: contract section 8, `user:NAME, group:NAME`. User and group 0 are called root wherever Linux is. */
static void a_list_is_one_of_known_names(void **state)
{
    static const struct {
        const char *text;
        bool fits;
    } rows[] = {
        {"user:root", true},
        {"group:root", true},
        {"user:root, group:root", true},
        {"user:root,group:root", true},
        {" user:root ", true},
        {"", false},
        {"root", false},
        {"user:", false},
        {"user:root,", true}, /* a comma too many names nobody */
        {"user:no-such-user-here", false},
        {"group:no-such-group-here", false},
        {"user:root; group:root", false},
        {"users:root", false},
        {"user root", false},
        {"user:root, root", false},
        {",user:root", false},
        {"user:01234567890123456789012345678901234567890123456789012345678901234567890123456789", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rights_fit(rows[i].text) != rows[i].fits)
            fail_msg("`%s` %s", rows[i].text, rows[i].fits ? "is refused" : "is taken");
}

/* own holds keep holds paint; the highest role of any line counts. */
static void the_highest_role_counts(void **state)
{
    static const unsigned bench[] = {100}, office[] = {7, 200}, none[] = {7};
    struct rights r = {
        .given = true,
        .count = 4,
        .entry = {
            {RIGHT_PAINT, false, 1000}, {RIGHT_PAINT, true, 100}, {RIGHT_KEEP, true, 200}, {RIGHT_OWN, false, 1000}}};
    (void)state;
    assert_int_equal(rights_of(&r, 1000, none, 1), RIGHT_OWN);
    assert_int_equal(rights_of(&r, 1001, bench, 1), RIGHT_PAINT);
    assert_int_equal(rights_of(&r, 1001, office, 2), RIGHT_KEEP);
    assert_int_equal(rights_of(&r, 1001, none, 1), RIGHT_READ);
    assert_int_equal(rights_of(&r, 100, none, 1), RIGHT_READ); /* a user's number is no group's */
    assert_int_equal(rights_of(&r, 0, none, 1), RIGHT_READ);   /* root too must be named */
    r = (struct rights){.given = false};
    assert_int_equal(rights_of(&r, 1001, none, 1), RIGHT_OWN);
}

static void the_kernel_says_who_is_at_the_other_end(void **state)
{
    int fd[2];
    char user[RIGHTS_USER];
    const struct passwd *me = getpwuid(getuid());
    struct rights r = {.given = true, .count = 1, .entry = {{RIGHT_KEEP, false, getuid()}}};
    (void)state;
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM, 0, fd), 0);
    assert_int_equal(rights_of_socket(&r, fd[0]), RIGHT_KEEP);
    r.entry[0].id = getuid() + 1;
    assert_int_equal(rights_of_socket(&r, fd[0]), RIGHT_READ);
    r.entry[0].group = true;
    r.entry[0].id = getgid();
    assert_int_equal(rights_of_socket(&r, fd[0]), RIGHT_KEEP);
    rights_user(fd[0], user);
    if (me)
        assert_string_equal(user, me->pw_name);
    close(fd[0]);
    close(fd[1]);
    assert_int_equal(rights_of_socket(&r, fd[0]), RIGHT_READ);
    rights_user(fd[0], user);
    assert_string_equal(user, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_list_is_one_of_known_names),
        cmocka_unit_test(the_highest_role_counts),
        cmocka_unit_test(the_kernel_says_who_is_at_the_other_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

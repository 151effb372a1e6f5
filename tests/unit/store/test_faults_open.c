#include "tests/unit/store/faulty.h"

/* Each write and sync of opening a new store fails in turn: it opens or says why not, and next time all is well. */
static void each_failure_while_opening(void **state)
{
    (void)state;
    for (size_t disk = 0; disk < FAULTY_DISKS; disk++) {
        bool failed = true;
        for (int n = 0; failed; n += faulty_disks[disk].stride) {
            struct world *w = faulty_world();
            void *all = w;
            faulty_arm(faulty_disks[disk].what, n, faulty_disks[disk].error, faulty_disks[disk].lasting);
            bool open = world_open(w);
            failed = faulty.failed > 0;
            faulty_disarm();
            if (!open && (w->fault.kind != FAULT_STORE || !*w->fault.help))
                fail_msg("%s at %d: fault %d, %s", faulty_disks[disk].name, n, (int)w->fault.kind, w->fault.message);
            if (!open && !world_open(w))
                fail_msg("%s at %d: does not open later: %s", faulty_disks[disk].name, n, w->fault.message);
            assert_int_equal(world_note(w, "accepted", "r1"), STORE_DONE);
            faulty_check_whole(w, faulty_disks[disk].name, n);
            world_teardown(&all);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_failure_while_opening),
    };
    return cmocka_run_group_tests_name("store: faults at open", tests, faulty_setup, NULL);
}

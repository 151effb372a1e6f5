/* start_code.c - what only a start runs is let go of: text of the program and its libraries. It must not know whose. */
#include "start_code.h"

#include <link.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* Only what is read and run, never written: it reads the same from the file again. The kernel's own page has no file.
 */
static int let_go(struct dl_phdr_info *object, size_t size, void *arg)
{
    uintptr_t page = (uintptr_t)sysconf(_SC_PAGESIZE);
    (void)size, (void)arg;
    if (strstr(object->dlpi_name, "vdso"))
        return 0;
    for (int i = 0; i < object->dlpi_phnum; i++) {
        const ElfW(Phdr) *part = &object->dlpi_phdr[i];
        if (part->p_type != PT_LOAD || !(part->p_flags & PF_X) || part->p_flags & PF_W)
            continue;
        uintptr_t from = (object->dlpi_addr + part->p_vaddr + page - 1) & ~(page - 1);
        uintptr_t to = (object->dlpi_addr + part->p_vaddr + part->p_memsz) & ~(page - 1);
        if (to > from)
            madvise((void *)from, to - from, MADV_DONTNEED);
    }
    return 0;
}

void start_code_let_go(void)
{
    dl_iterate_phdr(let_go, NULL);
}

#include "catalogue/files.h"
#include "config.h"

#include <unistd.h>

bool files_check(const char *config_path, struct store *store, FILE *out)
{
    struct config config;
    struct file_items items = {0};
    struct file_faults faults = {0};
    config_read_all(config_path, &config, &faults);
    const char *data = config.data;
    if (*data && access(data, F_OK) == 0) /* a folder that is not there was said already */
        files_read_all(&data, 1, store ? files_known_by_store : NULL, store, &items, &faults);
    file_items_finish(&items);
    for (size_t i = 0; i < faults.count; i++)
        file_fault_print(&faults.fault[i], out);
    bool fine = faults.count == 0;
    file_faults_finish(&faults);
    return fine;
}

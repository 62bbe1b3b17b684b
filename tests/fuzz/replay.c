/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Stands in for libFuzzer where there is none: each file of a folder through the target once. */
#include <dirent.h>

#include "fuzz.h"

static void replay(const char *folder, const char *name)
{
    static uint8_t bytes[1 << 20];
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    must(file != NULL);
    size_t size = fread(bytes, 1, sizeof bytes, file);
    fclose(file);
    LLVMFuzzerTestOneInput(bytes, size);
}

int main(int argc, char **argv)
{
    size_t count = 0;
    must(argc == 2);
    DIR *folder = opendir(argv[1]);
    must(folder != NULL);
    for (struct dirent *entry = readdir(folder); entry != NULL; entry = readdir(folder)) {
        if (entry->d_name[0] == '.')
            continue;
        replay(argv[1], entry->d_name);
        printf("ok %zu - %s\n", ++count, entry->d_name);
    }
    closedir(folder);
    must(count > 0);
    printf("1..%zu\n", count);
    return 0;
}

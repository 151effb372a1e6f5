/* completion.c - `poise completion`: a bash function, from the tables of commands and options. */
#include "client/commands.h"
#include "client/family_names.h"
#include "client/options.h"

#include <stdio.h>
#include <string.h>

/* The words of a choice such as `grow|dip`, with spaces between them. */
static void choices(const char *words)
{
    bool choice = strchr(words, '|') && !strchr(words, '[');
    for (; choice && *words; words++)
        putchar(*words == '|' ? ' ' : *words);
}

int command_completion(struct poise_options *opt)
{
    puts("# bash completion of poise: eval \"$(poise completion)\", or keep it as /etc/bash_completion.d/poise\n"
         "_poise() {\n"
         "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command='' each options='' "
         "words='' skip=''\n"
         "    for each in \"${COMP_WORDS[@]:1:COMP_CWORD-1}\"; do\n"
         "        [[ $skip ]] && { skip=''; continue; }\n"
         "        case $each in --socket|--station|--language) skip=1 ;; -*) ;; *) command=$each; break ;; esac\n"
         "    done\n"
         "    case $before in\n"
         "    --out|--socket) mapfile -t COMPREPLY < <(compgen -f -- \"$word\"); return ;;\n"
         "    --as) mapfile -t COMPREPLY < <(compgen -W 'poured corrected' -- \"$word\"); return ;;\n"
         "    --language) mapfile -t COMPREPLY < <(compgen -W 'en de' -- \"$word\"); return ;;\n"
         "    esac");
    char families[FAMILIES_ROOM];
    families_list(" ", families, sizeof families);
    printf("    [[ $before == --profile ]] && {\n"
           "        mapfile -t COMPREPLY < <(compgen -W 'auto %s' -- \"$word\"; compgen -f -- \"$word\")\n"
           "        return\n    }\n    case $command in\n",
           families);
    /* One case a command: its options, and its words where they are a choice. */
    for (const struct command *c = opt->commands; c->name; c++) {
        printf("    %s) options='", c->name);
        for (int i = 0; i < OPTION_COUNT; i++)
            if (command_takes(c, (enum option_id)i))
                printf("--%s ", option_rows[i].name);
        printf("' words='");
        choices(c->words);
        puts("' ;;");
    }
    printf("    '') words='");
    for (const struct command *c = opt->commands; c->name; c++)
        printf("%s ", c->name);
    puts("' ;;\n    esac");
    printf("    options+=' ");
    for (int i = 0; i < OPTION_COUNT; i++)
        if (option_is_everywhere(NULL, (enum option_id)i))
            printf("--%s ", option_rows[i].name);
    puts("'\n    case $word in -*) words=$options ;; esac\n"
         "    mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$word\")\n"
         "    [[ $word == -* ]] && return\n"
         "    case $command in\n"
         "    import|decode) mapfile -t COMPREPLY < <(compgen -f -- \"$word\") ;;\n"
         "    seek|record) mapfile -t COMPREPLY < <(compgen -f -- \"${word:-/dev/serial/by-id/}\") ;;\n"
         "    esac\n"
         "}\ncomplete -o bashdefault -F _poise poise");
    return 0;
}

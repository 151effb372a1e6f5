#include "client/code.h"

#include "client/fault.h"

int code_member(struct ask *a, const char *code, const char **member)
{
    json_t *answer = NULL, *product = NULL;
    *member = "formula";
    int exit = ask_answer(a, "formula.get", json_pack("{s:s}", "formula", code), &answer);
    json_t *error = json_object_get(answer, "error");
    bool unknown = error && json_integer_value(json_object_get(error, "code")) == -32001;
    if (exit == 0 && unknown && !a->opt->text[OPTION_PRODUCT])
        exit = ask_answer(a, "product.get", json_pack("{s:s}", "product", code), &product);
    if (exit == 0 && json_object_get(product, "result"))
        *member = "product";
    else if (exit == 0 && error)
        exit = fault_say_error(a->what, error);
    json_decref(product);
    json_decref(answer);
    return exit;
}

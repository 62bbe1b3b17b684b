/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "files/mount_shapes.h"

#include <string.h>

#include "files/names.h"

const struct shape shapes[] = {
#define SHAPE(word, meaning, joint, faces, allows, comment, asks, ...)                             \
    {word, meaning, joint, faces, allows, comment, asks, {__VA_ARGS__}},
#include "files/mount_shapes.inc"
#undef SHAPE
    {0}};

const struct shape *shape_called(const char *word)
{
    const struct shape *shape = shapes;
    while (shape->word != NULL && !same_word(word, shape->word))
        shape++;
    return shape->word != NULL ? shape : NULL;
}

size_t shape_bolt_at(const struct shape *shape, const struct shape_spans *spans,
    const struct shape_bolt *bolt, struct perpend_point *at)
{
    double deep = (shape->asks & CIRCLE) != 0 ? spans->across : spans->deep;
    bool one =
        (shape->asks & DEEP_TOO) != 0 && !(deep > 0); /* in place of a front and a back one */
    *at = (struct perpend_point){
        .right = bolt->right * spans->across / 2,
        .back = spans->behind + bolt->back * deep / 2,
        .up = ((shape->asks & BELOW) != 0 ? -spans->above : spans->above) + bolt->up * spans->high,
    };
    return one && bolt->back < 0 ? 0 : strlen(bolt->name) - (one ? strlen(" back") : 0);
}

/* cautions.h - what is to be beware of at each moment of a batch. Pure functions of a batch; the words stand in words/.
 *
 * A batch keeps the cautions of its beginning (`isocyanate`, `flammable`, warnings). Others belong to one moment: the
 * cup, the hardener's step, taking out, the full cup. A caution that stands on the page all day is read no more, so
 * each is shown when the hand can still obey it, and `flammable` at the beginning and at the hardener's step alone.
 */
#pragma once

#include "station/batch.h"

enum { CAUTIONS_MAX = EVENT_CAUTIONS + 8 };

/* At the bench, in the state as it is: gravest first, hazards before warnings. At most CAUTIONS_MAX into `out`. */
size_t batch_cautions(const struct batch *b, struct said out[CAUTIONS_MAX]);
/* For the record of a batch, whatever its state: those of its beginning, and what holds for its cup and its waste. */
size_t batch_record_cautions(const struct batch *b, struct said out[CAUTIONS_MAX]);
/* For a plan: what asks for gear that must be there before the first drop (`dust`, `target_metals`), with the toner
 * that asks for it. At most `most` of them. */
size_t recipe_cautions(const struct recipe *r, struct said *out, const char **toner, size_t most);

/* Whether a part is, or is to be taken for, one with isocyanates: a hardener that tells nothing is. */
bool recipe_part_is_isocyanate(const struct recipe_part *p);
/* Its vapour burns: H224, H225, H226 (Regulation (EC) No 1272/2008, annex III). */
bool recipe_part_is_flammable(const struct recipe_part *p);

/* request.h - moved: see ask.h. */
#pragma once

#include "client/ask.h"

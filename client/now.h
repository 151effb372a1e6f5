/* now.h - moved: see socket.h. */
#pragma once

#include "client/socket.h"

#include <time.h>

// Everything that needs the standard library only: all calculations, numbers, gradients, batches, traces.
#pragma once

#include "lutum/catalogue.hpp"
#include "lutum/core/batch_slopes.hpp"
#include "lutum/core/version.hpp"

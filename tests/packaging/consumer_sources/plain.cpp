#include "check.hpp"

int main() { return bentonite_equivalent_is_right() ? 0 : 1; }

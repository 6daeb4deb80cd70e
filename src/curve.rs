//! The charging curve and the exact time between two states of charge.

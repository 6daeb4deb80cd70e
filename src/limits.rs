//! The range of every quantity and the size of every list, each with its name.

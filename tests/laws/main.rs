//! Laws of the model.

//! What to buy and what to take: against trying every bag of small shops, and what must
//! hold of any answer.

mod every_bag;
mod holds;
mod rows;

//! Takes estimates and ledgers. Gives the answer as text, JSON and CSV.

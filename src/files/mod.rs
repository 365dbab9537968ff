//! Text in, text out.

//! The `hoopset` program: exit codes, nothing else.

fn main() {}

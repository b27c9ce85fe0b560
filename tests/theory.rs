//! Closed forms against numbers from outside them: published examples, tables, and values
//! evaluated independently. Each check names its source. Units mm, N, MPa unless said.
#![allow(clippy::unwrap_used, missing_docs)]
#![allow(clippy::approx_constant, reason = "3.14 is a tabulated factor")]

#[path = "theory/consistency.rs"]
mod consistency;
#[path = "theory/cylinder.rs"]
mod cylinder;
#[path = "theory/elastic.rs"]
mod elastic;
#[path = "theory/elliptic_front.rs"]
mod elliptic_front;
#[path = "theory/sheet.rs"]
mod sheet;

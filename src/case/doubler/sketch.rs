//! A doubler as its table draws it.

use crate::case::doubler::fastening::Fastening;
use crate::case::metal::Metal;
use crate::case::table::Table;
use crate::geometry::outline::Loop;
use crate::process::doubler::Bond;

/// A doubler as drawn, before a stage joins it.
pub(in crate::case) struct Sketch<'a> {
    pub(in crate::case::doubler) table: Table<'a>,
    pub(in crate::case) name: String,
    pub(in crate::case::doubler) outline: Loop,
    /// Thickness on one face, mm.
    pub(in crate::case::doubler) thickness: f64,
    pub(in crate::case::doubler) faces: u8,
    /// Its own metal; `None` where it is that of the plate.
    pub(in crate::case::doubler) metal: Option<Metal>,
    pub(in crate::case::doubler) along: usize,
    pub(in crate::case::doubler) bond: Option<Bond>,
    pub(in crate::case::doubler) fastening: Option<Fastening>,
}

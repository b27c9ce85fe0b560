//! The table of influence coefficients as `verification/corner-cracks/pack.py` writes it.
//!
//! One line of JSON (axes, scale, error), then 16-bit integers, little-endian, in the order
//! cracks, radius, aspect, depth, angle, place.

use std::sync::OnceLock;

use serde::Deserialize;

use super::axis::{Axis, Scale};
use super::direction::Direction;
use crate::packed::inflated;

/// Files of the table, each for its numbers of cracks, as `build.rs` has packed them.
const FILES: [&[u8]; 2] = [
    include_bytes!(concat!(env!("OUT_DIR"), "/one_corner_crack.z")),
    include_bytes!(concat!(env!("OUT_DIR"), "/two_corner_cracks.z")),
];

#[derive(Deserialize)]
struct Head {
    cracks: Vec<u8>,
    radii: Vec<f64>,
    aspects: Vec<f64>,
    depths: Vec<f64>,
    angles: Vec<f64>,
    x: Vec<f64>,
    z: Vec<f64>,
    scale: f64,
    valid_radii: [f64; 2],
    error: f64,
}

/// Axes and numbers of the table.
#[derive(Debug)]
pub(super) struct Data {
    /// Numbers of cracks in the table, in its order.
    pub cracks: Vec<u8>,
    /// Hole radius over thickness for which `error` was tested.
    pub valid_radii: [f64; 2],
    /// Largest error of K between the nodes, over the largest K of the front.
    pub error: f64,
    /// Hole radius over thickness.
    pub radii: Axis,
    /// Depth over length, a/c.
    pub aspects: Axis,
    /// Depth over thickness, a/t.
    pub depths: Axis,
    /// Parametric angles, degrees.
    pub angles: Vec<f64>,
    /// Places x/c.
    pub x: Direction,
    /// Places z/a.
    pub z: Direction,
    places: usize,
    scale: f64,
    numbers: Vec<i16>,
}

impl Data {
    /// The table for so many cracks, read once.
    pub(super) fn get(cracks: u8) -> Option<&'static Self> {
        static DATA: OnceLock<[Data; FILES.len()]> = OnceLock::new();
        DATA.get_or_init(|| FILES.map(Self::read)).iter().find(|data| data.cracks.contains(&cracks))
    }

    fn read(file: &'static [u8]) -> Self {
        let end = file.iter().position(|byte| *byte == b'\n').expect("the packed file has a head");
        let head: Head = serde_json::from_slice(&file[..end])
            .expect("the head was written by the packing script");
        let bytes = inflated(&file[end + 1..]);
        let (low, high) = bytes.split_at(bytes.len() / 2);
        let data = Self {
            cracks: head.cracks,
            valid_radii: head.valid_radii,
            error: head.error,
            radii: Axis::new(head.radii, Scale::Logarithm),
            aspects: Axis::new(head.aspects, Scale::Logarithm),
            depths: Axis::new(head.depths, Scale::ToFarFace),
            angles: head.angles,
            x: Direction::new(&head.x),
            z: Direction::new(&head.z),
            places: head.x.len() * head.z.len(),
            scale: head.scale,
            numbers: low.iter().zip(high).map(|(l, h)| i16::from_le_bytes([*l, *h])).collect(),
        };
        assert_eq!(
            data.numbers.len(),
            data.cracks.len() * data.radii.len() * data.block(),
            "the packed file is whole"
        );
        data
    }

    /// Number of places of the stress.
    pub(super) fn places(&self) -> usize {
        self.places
    }

    /// Numbers for one radius and one number of cracks.
    pub(super) fn block(&self) -> usize {
        self.aspects.len() * self.depths.len() * self.angles.len() * self.places()
    }

    /// `count` numbers from `first` on.
    pub(super) fn numbers(&self, first: usize, count: usize) -> impl Iterator<Item = f64> + '_ {
        self.numbers[first..first + count].iter().map(|number| f64::from(*number) * self.scale)
    }
}

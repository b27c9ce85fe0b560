//! Packs the table of corner cracks.
//!
//! Its head as it stands, then its numbers: low bytes first, then high ones, which pack better apart.

use std::io::Write as _;
use std::path::Path;
use std::{env, fs};

use flate2::Compression;
use flate2::write::ZlibEncoder;

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    let folder = env::var_os("OUT_DIR").expect("cargo gives a folder");
    for name in ["one_corner_crack", "two_corner_cracks"] {
        let path = format!("fatigue/influence/{name}.bin");
        println!("cargo:rerun-if-changed={path}");
        let table = fs::read(&path).expect("the table is beside its reader");
        let head = table.iter().position(|byte| *byte == b'\n').expect("a table has a head") + 1;
        let plane = |k: usize| table[head + k..].iter().step_by(2).copied();
        let numbers: Vec<u8> = plane(0).chain(plane(1)).collect();
        let mut packed = ZlibEncoder::new(table[..head].to_vec(), Compression::best());
        packed.write_all(&numbers).expect("memory takes it");
        let file = Path::new(&folder).join(format!("{name}.z"));
        fs::write(file, packed.finish().expect("memory takes it"))
            .expect("the folder can be written");
    }
}

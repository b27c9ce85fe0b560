//! Packs the fonts of the figures: of each the tables that widths and outlines need, deflated.
//!
//! A font file: a head, a directory of tables (tag, sum, place, length), the tables. Source: ISO/IEC 14496-22,
//! "Organization of an OpenType Font".

use std::io::Write as _;
use std::path::Path;
use std::{env, fs};

use flate2::Compression;
use flate2::write::ZlibEncoder;

/// Tables that are kept; hints, kerning, names and ligatures are not read.
const TABLES: [&[u8; 4]; 7] = [b"cmap", b"glyf", b"head", b"hhea", b"hmtx", b"loca", b"maxp"];

/// Bytes of the head of a font, and of an entry of its directory.
const HEAD: usize = 12;
const ENTRY: usize = 16;

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    let folder = env::var_os("OUT_DIR").expect("cargo gives a folder");
    for (name, font) in [("sans.z", dejavu::sans::regular()), ("sans-bold.z", dejavu::sans::bold())]
    {
        let mut packed = ZlibEncoder::new(Vec::new(), Compression::best());
        packed.write_all(&stripped(font)).expect("memory takes it");
        let bytes = packed.finish().expect("memory takes it");
        fs::write(Path::new(&folder).join(name), bytes).expect("the folder can be written");
    }
}

fn number(bytes: &[u8], at: usize) -> usize {
    let four = bytes[at..at + 4].try_into().expect("four bytes");
    u32::from_be_bytes(four) as usize
}

fn written(number: usize) -> [u8; 4] {
    u32::try_from(number).expect("a font of less than four gigabytes").to_be_bytes()
}

/// The font with fewer tables.
fn stripped(font: &[u8]) -> Vec<u8> {
    let count = usize::from(u16::from_be_bytes([font[4], font[5]]));
    let entries: Vec<&[u8]> = font[HEAD..HEAD + ENTRY * count].chunks(ENTRY).collect();
    let kept: Vec<&&[u8]> =
        entries.iter().filter(|entry| TABLES.iter().any(|tag| entry.starts_with(*tag))).collect();
    let mut directory = font[..HEAD].to_vec();
    directory[4..6].copy_from_slice(&written(kept.len())[2..]);
    let mut tables: Vec<u8> = Vec::new();
    for entry in kept {
        let (from, length) = (number(entry, 8), number(entry, 12));
        let at = HEAD + ENTRY * TABLES.len() + tables.len();
        directory.extend(&entry[..8]);
        directory.extend(written(at));
        directory.extend(&entry[12..16]);
        tables.extend(&font[from..from + length]);
        tables.resize(tables.len().next_multiple_of(4), 0);
    }
    [directory, tables].concat()
}

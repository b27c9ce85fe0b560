//! Packs what the program carries inside: the fonts of the figures, and texts.
//!
//! Of a font, the tables that widths and outlines need, without the outlines of signs that no title has. A font
//! file: a head, a directory of tables (tag, sum, place, length), the tables. Source: ISO/IEC 14496-22, "Organization
//! of an OpenType Font", "cmap", "glyf", "loca".
//!
//! Texts stand behind each other, each below a line with its length and its path in this repository.

use std::collections::BTreeSet;
use std::io::Write as _;
use std::ops::RangeInclusive;
use std::path::Path;
use std::{env, fs};

use flate2::Compression;
use flate2::write::ZlibEncoder;

/// Tables that are kept; hints, kerning, names and ligatures are not read.
const TABLES: [[u8; 4]; 7] = [*b"cmap", *b"glyf", *b"head", *b"hhea", *b"hmtx", *b"loca", *b"maxp"];

/// Signs without an outline: syllabics and runes, dingbats and playing pieces, Braille, private ones, mathematical
/// alphabets. They keep their width; an SVG has them as text.
const BLANK: [RangeInclusive<usize>; 5] =
    [0x1400..=0x169f, 0x2600..=0x28ff, 0x2a00..=0x2aff, 0xe000..=0xf8ff, 0x1_0000..=0x10_ffff];

/// Bytes of the head of a font, and of an entry of its directory.
const HEAD: usize = 12;
const ENTRY: usize = 16;

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    let folder = env::var_os("OUT_DIR").expect("cargo gives a folder");
    let write = |name: &str, bytes: &[u8]| {
        fs::write(Path::new(&folder).join(name), bytes).expect("the folder can be written");
    };
    write("sans.z", &packed(&stripped(dejavu::sans::regular())));
    write("sans-bold.z", &packed(&stripped(dejavu::sans::bold())));
    let mut all = Vec::new();
    for path in texts() {
        println!("cargo:rerun-if-changed={path}");
        let text = fs::read(&path).expect("a text that was listed can be read");
        all.extend(format!("{} {path}\n", text.len()).into_bytes());
        all.extend(text);
    }
    write("texts.z", &packed(&all));
}

/// Paths of the texts, in order: lessons and their cases, cases of the book, the live page.
fn texts() -> Vec<String> {
    let in_folder = |folder: &str| -> Vec<String> {
        println!("cargo:rerun-if-changed={folder}");
        let entries = fs::read_dir(folder).expect("the folder is part of the package");
        entries
            .map(|entry| entry.expect("an entry").file_name())
            .map(|name| format!("{folder}/{}", name.to_str().expect("plain names")))
            .collect()
    };
    let ends = |path: &String, endings: &[&str]| endings.iter().any(|end| path.ends_with(end));
    let mut texts = in_folder("examples");
    texts.retain(|path| ends(path, &[".md", ".toml"]));
    texts.extend(in_folder("src/live/page"));
    for folder in in_folder("verification") {
        let files = ["case.toml", "expected.toml"].map(|name| format!("{folder}/{name}"));
        texts.extend(files.into_iter().filter(|file| Path::new(file).exists()));
    }
    texts.sort();
    texts
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    let mut packed = ZlibEncoder::new(Vec::new(), Compression::best());
    packed.write_all(bytes).expect("memory takes it");
    packed.finish().expect("memory takes it")
}

fn number(bytes: &[u8], at: usize) -> usize {
    let four = bytes[at..at + 4].try_into().expect("four bytes");
    u32::from_be_bytes(four) as usize
}

fn short(bytes: &[u8], at: usize) -> usize {
    usize::from(u16::from_be_bytes([bytes[at], bytes[at + 1]]))
}

fn written(number: usize) -> [u8; 4] {
    u32::try_from(number).expect("a font of less than four gigabytes").to_be_bytes()
}

/// The table of a font with the tag, which a font of the figures has.
fn table(font: &[u8], tag: [u8; 4]) -> &[u8] {
    let count = short(font, 4);
    let entry =
        font[HEAD..HEAD + ENTRY * count].chunks(ENTRY).find(|entry| entry.starts_with(&tag));
    let entry = entry.expect("the font has the table");
    &font[number(entry, 8)..number(entry, 8) + number(entry, 12)]
}

/// The font with fewer tables and fewer outlines.
fn stripped(font: &[u8]) -> Vec<u8> {
    let outlines = outlines(font);
    let mut directory = font[..HEAD].to_vec();
    directory[4..6].copy_from_slice(&written(TABLES.len())[2..]);
    let mut tables: Vec<u8> = Vec::new();
    for tag in TABLES {
        let content = match &tag {
            b"glyf" => &outlines.0,
            b"loca" => &outlines.1,
            _ => table(font, tag),
        };
        directory.extend(tag);
        // The sum of a table is not read.
        directory.extend([0; 4]);
        directory.extend(written(HEAD + ENTRY * TABLES.len() + tables.len()));
        directory.extend(written(content.len()));
        tables.extend(content);
        tables.resize(tables.len().next_multiple_of(4), 0);
    }
    [directory, tables].concat()
}

/// Outlines and their places, without those of blank signs.
fn outlines(font: &[u8]) -> (Vec<u8>, Vec<u8>) {
    let (glyf, loca) = (table(font, *b"glyf"), table(font, *b"loca"));
    assert_eq!(short(table(font, *b"head"), 50), 1, "places of outlines are four bytes long");
    let outline = |glyph: usize| &glyf[number(loca, 4 * glyph)..number(loca, 4 * glyph + 4)];
    // Glyph 0 stands for a sign that the font does not know.
    let mut kept = BTreeSet::from([0]);
    let mut open: Vec<usize> = signs(table(font, *b"cmap"))
        .into_iter()
        .filter(|(sign, _)| !BLANK.iter().any(|blank| blank.contains(sign)))
        .map(|(_, glyph)| glyph)
        .collect();
    while let Some(glyph) = open.pop() {
        if kept.insert(glyph) {
            open.extend(parts(outline(glyph)));
        }
    }
    let (mut all, mut places) = (Vec::new(), Vec::new());
    for glyph in 0..loca.len() / 4 - 1 {
        places.extend(written(all.len()));
        if kept.contains(&glyph) {
            all.extend(outline(glyph));
        }
    }
    places.extend(written(all.len()));
    (all, places)
}

/// Signs and their glyphs: the groups of the map of the whole of Unicode.
fn signs(cmap: &[u8]) -> Vec<(usize, usize)> {
    let map = (0..short(cmap, 2))
        .map(|k| &cmap[number(cmap, 4 + 8 * k + 4)..])
        .find(|map| short(map, 0) == 12)
        .expect("the font has a map of format 12");
    let groups = (0..number(map, 12)).map(|k| [0, 4, 8].map(|at| number(map, 16 + 12 * k + at)));
    groups
        .flat_map(|[first, last, glyph]| (first..=last).map(move |s| (s, glyph + s - first)))
        .collect()
}

/// Glyphs that an outline is made of, when it is made of others.
fn parts(outline: &[u8]) -> Vec<usize> {
    let mut parts = Vec::new();
    if outline.is_empty() || outline[0] < 0x80 {
        return parts;
    }
    let mut at = 10;
    loop {
        let (flags, glyph) = (short(outline, at), short(outline, at + 2));
        parts.push(glyph);
        let shift = if flags & 0x01 == 0 { 2 } else { 4 };
        let turn = match flags & 0xc8 {
            0 => 0,
            0x08 => 2,
            0x40 => 4,
            _ => 8,
        };
        at += 4 + shift + turn;
        if flags & 0x20 == 0 {
            return parts;
        }
    }
}

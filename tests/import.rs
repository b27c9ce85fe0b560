//! Meshes made elsewhere.

use hoopset::mesh::import::read_vtu;

#[test]
fn look() {
    for name in ["bracket-foot", "shelf-strip", "two-bore-plate"] {
        let bytes = std::fs::read(format!("{}/meshes/{name}.vtu", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let r = read_vtu(&bytes, 1.0, &[]);
        match r {
            Ok(i) => {
                println!("{name}: nodes {} quads {} tri {} outline {:?}", i.mesh.nodes.len(), i.mesh.quads.len(), i.mesh.triangles.len(), i.outline);
                for (h, m) in i.holes.iter().zip(&i.mesh.holes) { println!("  {h:?} layers {} sectors {}", m.layers, m.sectors); }
                for n in &i.notes { println!("  note {n}"); }
                println!("  {:?}", hoopset::mesh::check::measure(&i.mesh));
            }
            Err(e) => println!("{name}: {e}"),
        }
    }
    for e in std::fs::read_dir(format!("{}/meshes/encodings", env!("CARGO_MANIFEST_DIR"))).unwrap() {
        let p = e.unwrap().path();
        let r = read_vtu(&std::fs::read(&p).unwrap(), 1.0, &[]);
        println!("{:?} {:?}", p.file_name(), r.map(|i| (i.mesh.nodes.len(), i.notes)).map_err(|e| e.to_string()));
    }
}

//! A full disk: a clear error, and what stood there before still stands.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::workshop::{QUICK, differences, hoopset, told, with_case};

/// A small file system of its own, unmounted when dropped.
struct SmallDisk<'a>(&'a Path);

impl<'a> SmallDisk<'a> {
    /// `None` where this user may not mount, with a word about it.
    fn mount(place: &'a Path, size: &str) -> Option<Self> {
        fs::create_dir_all(place).unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"])
            .arg(place)
            .output();
        if mounted.is_ok_and(|output| output.status.success()) {
            Some(Self(place))
        } else {
            eprintln!("skipped: this user may not mount a file system");
            None
        }
    }
}

impl Drop for SmallDisk<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
fn a_full_disk_is_told_and_the_earlier_results_stay() {
    let folder = with_case(QUICK);
    assert_eq!(hoopset(folder.path(), &["run", "quick.toml"]).status.code(), Some(0));
    let whole = folder.path().join("quick-results");
    let size: usize = crate::workshop::files(&whole).iter().map(|(_, bytes)| bytes.len()).sum();
    // Room for one set of results and a part of a second: the disk is full early, in the middle, late.
    for tenths in [1, 5, 9] {
        let place = folder.path().join(format!("disk-{tenths}"));
        let room = format!("{}k", (size + size * tenths / 10) / 1024 + 200);
        let Some(_disk) = SmallDisk::mount(&place, &room) else { return };
        let target = place.join("results");
        let out = target.to_str().unwrap();
        assert_eq!(
            hoopset(folder.path(), &["run", "quick.toml", "--out", out]).status.code(),
            Some(0)
        );
        let output = hoopset(folder.path(), &["run", "quick.toml", "--out", out, "--fresh"]);
        let told = told(&output);
        assert_eq!(output.status.code(), Some(1), "{told}");
        assert!(told.contains("hint: free some disk space"), "{told}");
        assert_eq!(differences(&whole, &target), Vec::<String>::new());
        // With room again the same command completes.
        fs::remove_dir_all(place.join("results.partial")).unwrap();
        let grown = Command::new("mount")
            .args(["-o", &format!("remount,size={}k", 4 * size / 1024 + 1000)])
            .arg(&place)
            .status();
        assert!(grown.unwrap().success());
        let again = hoopset(folder.path(), &["run", "quick.toml", "--out", out, "--fresh"]);
        assert_eq!(again.status.code(), Some(0), "{}", crate::workshop::told(&again));
        assert_eq!(differences(&whole, &target), Vec::<String>::new());
    }
}

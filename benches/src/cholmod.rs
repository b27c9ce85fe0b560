//! The numeric factorization of the system's CHOLMOD, as it stands.
//!
//! The few calls that are needed, with 32-bit indices. Layout of `cholmod_sparse` as in the
//! library's header since version 1; `cholmod_common` is only passed on, so a block of memory
//! larger than it is enough.

use std::ffi::c_void;
use std::ptr::null_mut;

use nalgebra_sparse::CscMatrix;

use crate::unit::best;

#[repr(C)]
struct Sparse {
    rows: usize,
    columns: usize,
    most: usize,
    starts: *mut c_void,
    indices: *mut c_void,
    counts: *mut c_void,
    values: *mut c_void,
    imaginary: *mut c_void,
    /// −1: the lower triangle of a symmetric matrix.
    kind: i32,
    index_type: i32,
    value_type: i32,
    precision: i32,
    sorted: i32,
    packed: i32,
}

#[link(name = "cholmod")]
unsafe extern "C" {
    fn cholmod_start(common: *mut c_void) -> i32;
    fn cholmod_finish(common: *mut c_void) -> i32;
    fn cholmod_analyze(matrix: *mut Sparse, common: *mut c_void) -> *mut c_void;
    fn cholmod_factorize(matrix: *mut Sparse, factor: *mut c_void, common: *mut c_void) -> i32;
    fn cholmod_free_factor(factor: *mut *mut c_void, common: *mut c_void) -> i32;
}

/// Seconds of one numeric factorization; `None` when the library fails.
pub fn time(matrix: &CscMatrix<f64>) -> Option<f64> {
    let (offsets, rows, values) = matrix.csc_data();
    let small = |list: &[usize]| -> Option<Vec<i32>> {
        list.iter().map(|&index| i32::try_from(index).ok()).collect()
    };
    let (mut starts, mut indices) = (small(offsets)?, small(rows)?);
    let mut values = values.to_vec();
    let mut sparse = Sparse {
        rows: matrix.nrows(),
        columns: matrix.ncols(),
        most: values.len(),
        starts: starts.as_mut_ptr().cast(),
        indices: indices.as_mut_ptr().cast(),
        counts: null_mut(),
        values: values.as_mut_ptr().cast(),
        imaginary: null_mut(),
        kind: -1,
        index_type: 0,
        value_type: 1,
        precision: 0,
        sorted: 1,
        packed: 1,
    };
    let mut common = vec![0_u64; 8192];
    let common = common.as_mut_ptr().cast::<c_void>();
    // SAFETY: the arrays above outlive the calls, `common` is larger than the library's structure
    // and set up by `cholmod_start` before anything else sees it.
    unsafe {
        cholmod_start(common);
        let mut factor = cholmod_analyze(&raw mut sparse, common);
        if factor.is_null() {
            cholmod_finish(common);
            return None;
        }
        let mut fine = true;
        let seconds = best(|| fine &= cholmod_factorize(&raw mut sparse, factor, common) == 1);
        cholmod_free_factor(&raw mut factor, common);
        cholmod_finish(common);
        fine.then_some(seconds)
    }
}

//! Plan of a factorization, from the pattern alone: order, fronts, tree, branches.
//!
//! A *front* is a set of neighbouring columns that are eliminated together: `width` columns and
//! `below` further rows they couple to. Its panel is stored column-major, `width + below` rows.
//! Fronts are numbered so that children come before parents and every subtree is a range.

mod analysis;

use std::ops::Range;

/// Marks what is not there.
const NONE: u32 = u32::MAX;

/// The factor does not fit into 32-bit indices or into memory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLarge;

/// The values of the matrix that couple two groups of unknowns, on their way into a panel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Block {
    /// Twice the group of the columns, plus one when the rows are eliminated first.
    group: u32,
    /// Which value of the first of these columns is the first.
    at: u32,
    /// Which value of the panel that is.
    target: u32,
}

impl Block {
    fn new(group: usize, turned: bool, at: usize) -> Self {
        Self { group: small(2 * group + usize::from(turned)), at: small(at), target: 0 }
    }

    /// Hands over every value: where it is in the matrix with these column `offsets`, and where it
    /// goes in a panel of this `height`. Groups are of so many unknowns `TOGETHER`.
    #[inline]
    pub(super) fn each<const TOGETHER: usize>(
        self,
        offsets: &[usize],
        height: usize,
        mut visit: impl FnMut(usize, usize),
    ) {
        let (first, turned) = (TOGETHER * (self.group as usize >> 1), self.group & 1 == 1);
        let (at, target) = (self.at as usize, self.target as usize);
        for j in 0..TOGETHER {
            // The columns of a group lack the rows above their diagonals.
            let above = if at == 0 { j } else { 0 };
            for i in above..TOGETHER {
                let (row, column) = if turned { (j, i) } else { (i, j) };
                visit(offsets[first + j] + at + i - j, target + column * height + row);
            }
        }
    }
}

/// The symbolic factorization of one pattern.
#[derive(Debug)]
pub struct Plan {
    /// Neighbouring unknowns that couple alike.
    together: usize,
    /// Old number of every unknown in the order of elimination.
    pub(super) order: Vec<u32>,
    /// First column of every front, and the number of columns.
    begin: Vec<u32>,
    /// Where the rows below every front start in `rows`.
    row_start: Vec<usize>,
    /// Rows below every front, rising, in the order of elimination.
    rows: Vec<u32>,
    /// For each of these rows its place in the front of the parent.
    in_parent: Vec<u32>,
    /// Children of every front.
    child_start: Vec<u32>,
    children: Vec<u32>,
    /// Entries of the matrix.
    entries: usize,
    /// Blocks of the matrix that each panel starts from.
    block_start: Vec<usize>,
    blocks: Vec<Block>,
    /// Fronts of every branch; the last one is its root.
    pub(super) branches: Vec<Range<usize>>,
    /// Fronts above all branches, children first.
    pub(super) crown: Vec<usize>,
    /// Branch of every group of unknowns.
    branch_of: Vec<u32>,
}

impl Default for Plan {
    /// Of no unknowns.
    fn default() -> Self {
        Self {
            together: 1,
            order: Vec::new(),
            begin: vec![0],
            row_start: vec![0],
            rows: Vec::new(),
            in_parent: Vec::new(),
            child_start: vec![0],
            children: Vec::new(),
            entries: 0,
            block_start: vec![0],
            blocks: Vec::new(),
            branches: Vec::new(),
            crown: Vec::new(),
            branch_of: Vec::new(),
        }
    }
}

impl Plan {
    /// Number of unknowns.
    #[must_use]
    pub fn unknowns(&self) -> usize {
        self.order.len()
    }

    /// Entries of the matrix.
    #[must_use]
    pub fn entries(&self) -> usize {
        self.entries
    }

    /// Values of the factor.
    #[must_use]
    pub fn factor_size(&self) -> usize {
        (0..self.fronts()).map(|front| self.panel_size(front)).sum()
    }

    /// Multiplications, each with an addition, of a factorization.
    #[must_use]
    pub fn work(&self) -> f64 {
        (0..self.fronts()).map(|front| self.work_of(front)).sum()
    }

    /// Neighbouring unknowns that couple alike.
    pub(super) fn together(&self) -> usize {
        self.together
    }

    /// Number of branches.
    #[must_use]
    pub(crate) fn branch_count(&self) -> usize {
        self.branches.len()
    }

    /// Branch whose panels hold the column of `unknown` and of nothing that is eliminated after it;
    /// none in the crown.
    #[must_use]
    pub(crate) fn branch_of(&self, unknown: usize) -> Option<usize> {
        let branch = self.branch_of[unknown / self.together];
        (branch != NONE).then_some(branch as usize)
    }

    /// Number of fronts.
    pub(super) fn fronts(&self) -> usize {
        self.begin.len() - 1
    }

    /// Columns of a front, in the order of elimination.
    pub(super) fn columns(&self, front: usize) -> Range<usize> {
        self.begin[front] as usize..self.begin[front + 1] as usize
    }

    pub(super) fn width(&self, front: usize) -> usize {
        self.columns(front).len()
    }

    pub(super) fn below(&self, front: usize) -> usize {
        self.row_start[front + 1] - self.row_start[front]
    }

    pub(super) fn panel_size(&self, front: usize) -> usize {
        self.width(front) * (self.width(front) + self.below(front))
    }

    /// Values of the square that a front hands to its parent.
    pub(super) fn update_size(&self, front: usize) -> usize {
        self.below(front) * self.below(front)
    }

    /// Rows below a front, in the order of elimination.
    pub(super) fn rows(&self, front: usize) -> &[u32] {
        &self.rows[self.row_start[front]..self.row_start[front + 1]]
    }

    /// For each row below a front its place in the front of the parent.
    pub(super) fn in_parent(&self, front: usize) -> &[u32] {
        &self.in_parent[self.row_start[front]..self.row_start[front + 1]]
    }

    pub(super) fn children(&self, front: usize) -> &[u32] {
        &self.children[self.child_start[front] as usize..self.child_start[front + 1] as usize]
    }

    pub(super) fn blocks_of(&self, front: usize) -> &[Block] {
        &self.blocks[self.block_start[front]..self.block_start[front + 1]]
    }

    /// Columns of the widest front.
    pub(super) fn widest(&self) -> usize {
        (0..self.fronts()).map(|front| self.width(front)).max().unwrap_or(0)
    }

    /// Most values that the updates of `fronts`, taken in this order on a stack, need at once;
    /// those of children that are not `among` them lie elsewhere.
    pub(super) fn stack_room(
        &self,
        fronts: impl Iterator<Item = usize>,
        among: impl Fn(usize) -> bool,
    ) -> usize {
        let (mut height, mut most) = (0, 0);
        for front in fronts {
            let own = self.update_size(front);
            most = most.max(height + own);
            let children = self.children(front).iter().map(|&child| child as usize);
            let taken: usize =
                children.filter(|&c| among(c)).map(|child| self.update_size(child)).sum();
            height = height - taken + own;
        }
        most
    }

    fn work_of(&self, front: usize) -> f64 {
        let (w, b) = (self.width(front) as f64, self.below(front) as f64);
        w * (w * w / 6.0 + 0.5 * w * b + 0.5 * b * b)
    }
}

fn small(index: usize) -> u32 {
    u32::try_from(index).expect("numbers of unknowns and entries were checked against 2³²")
}

//! Plan of a factorization, from the pattern alone: order, fronts, tree, branches.
//!
//! A *front* is a set of neighbouring columns that are eliminated together: `width` columns and
//! `below` further rows they couple to. Its panel is stored column-major, `width + below` rows.
//! Fronts are numbered so that children come before parents and every subtree is a range.

use std::ops::Range;

use faer::Side;
use faer::sparse::SymbolicSparseColMatRef;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, SymbolicCholeskyRaw, SymmetricOrdering, factorize_symbolic_cholesky,
};
use nalgebra_sparse::CscMatrix;

/// Largest share of the work that a branch may have: small enough that a few threads are evenly
/// loaded, large enough that little is left for the crown.
const BRANCH_SHARE: f64 = 1.0 / 16.0;

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
    /// Analyses the pattern of `matrix`, a lower triangle whose unknowns come one by one or in pairs
    /// of neighbours that couple alike, as those of a node (`together`, one or two): pairs are put
    /// in order and joined to fronts as a whole, which is quicker to find.
    ///
    /// # Errors
    ///
    /// [`TooLarge`].
    ///
    /// # Panics
    ///
    /// When the unknowns are no multiple of `together`, or that is neither one nor two.
    pub fn new(matrix: &CscMatrix<f64>, together: usize) -> Result<Self, TooLarge> {
        let (offsets, rows, _) = matrix.csc_data();
        let unknowns = matrix.nrows();
        assert!(matches!(together, 1 | 2), "unknowns come one by one or in pairs");
        assert_eq!(unknowns % together, 0, "unknowns come in whole groups");
        if u32::try_from(rows.len()).is_err() || u32::try_from(unknowns).is_err() {
            return Err(TooLarge);
        }
        let groups = unknowns / together;
        let (group_offsets, group_rows) = among_groups(offsets, rows, together);
        let symbolic = factorize_symbolic_cholesky(
            SymbolicSparseColMatRef::new_checked(groups, groups, &group_offsets, None, &group_rows),
            Side::Lower,
            SymmetricOrdering::Amd,
            CholeskySymbolicParams {
                supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SUPERNODAL,
                ..CholeskySymbolicParams::default()
            },
        )
        .map_err(|_| TooLarge)?;
        let members = |&group: &usize| group * together..(group + 1) * together;
        let (order, place) = symbolic.perm().expect("an order was asked for").arrays();
        let order = order.iter().flat_map(members).map(small).collect();
        let mut plan = Self { together, order, ..Self::default() };
        plan.begin.clear();
        match symbolic.raw() {
            SymbolicCholeskyRaw::Supernodal(fronts) => {
                let count = fronts.n_supernodes();
                let begin = &fronts.supernode_begin()[..count];
                plan.begin.extend(begin.iter().map(|&at| small(at * together)));
                for front in 0..count {
                    let start = fronts.col_ptr_for_row_idx()[front];
                    let below = &fronts.row_idx()[start..start + fronts.nnz_per_super()[front]];
                    plan.rows.extend(below.iter().flat_map(members).map(small));
                    plan.row_start.push(plan.rows.len());
                }
            }
            // Only where there is nothing to eliminate: a matrix of a diagonal alone.
            SymbolicCholeskyRaw::Simplicial(_) => {
                plan.begin.extend((0..groups).map(|group| small(group * together)));
                plan.row_start.resize(groups + 1, 0);
            }
        }
        plan.begin.push(small(unknowns));
        let mut owner = vec![0; unknowns];
        for front in 0..plan.fronts() {
            owner[plan.columns(front)].fill(small(front));
        }
        let parent = plan.parents(&owner);
        plan.link(&parent);
        plan.sort_blocks(offsets, rows, place, &owner);
        plan.place_all();
        plan.cut(&parent);
        Ok(plan)
    }

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

    /// Parent of every front: the owner of its first row below.
    fn parents(&self, owner: &[u32]) -> Vec<u32> {
        let parent = |front: usize| self.rows(front).first().map_or(NONE, |&r| owner[r as usize]);
        (0..self.fronts()).map(parent).collect()
    }

    fn link(&mut self, parent: &[u32]) {
        let mut start = vec![0; parent.len() + 1];
        for &up in parent.iter().filter(|&&up| up != NONE) {
            start[up as usize + 1] += 1;
        }
        for front in 0..parent.len() {
            start[front + 1] += start[front];
        }
        let mut next = start.clone();
        self.children = vec![0; start[parent.len()] as usize];
        for (front, &up) in parent.iter().enumerate().filter(|(_, up)| **up != NONE) {
            self.children[next[up as usize] as usize] = small(front);
            next[up as usize] += 1;
        }
        self.child_start = start;
    }

    /// Sorts the blocks of the matrix by front; `place` is that of every group.
    fn sort_blocks(&mut self, offsets: &[usize], rows: &[usize], place: &[usize], owner: &[u32]) {
        let together = self.together;
        let each = |mut visit: Box<dyn FnMut(Block, usize, usize) + '_>| {
            for group in 0..place.len() {
                let column = &rows[offsets[together * group]..offsets[together * group + 1]];
                for (at, row) in column.iter().enumerate().filter(|(_, row)| *row % together == 0) {
                    let (a, b) = (place[group], place[row / together]);
                    let block = Block::new(group, a > b, at);
                    visit(block, together * a.min(b), together * a.max(b));
                }
            }
        };
        let mut start = vec![0; self.fronts() + 1];
        each(Box::new(|_, column, _| start[owner[column] as usize + 1] += 1));
        for front in 0..self.fronts() {
            start[front + 1] += start[front];
        }
        let mut next = start.clone();
        let mut sorted = vec![(Block::new(0, false, 0), 0, 0); start[self.fronts()]];
        each(Box::new(|block, column, row| {
            let at = &mut next[owner[column] as usize];
            sorted[*at] = (block, small(column), small(row));
            *at += 1;
        }));
        let mut local = vec![NONE; self.unknowns()];
        let mut blocks = Vec::with_capacity(sorted.len());
        for front in 0..self.fronts() {
            let height = self.width(front) + self.below(front);
            let first = self.columns(front).start;
            self.number(front, &mut local);
            blocks.extend(sorted[start[front]..start[front + 1]].iter().map(
                |&(block, column, row)| {
                    let place = (column as usize - first) * height + local[row as usize] as usize;
                    Block { target: small(place), ..block }
                },
            ));
        }
        self.entries = rows.len();
        self.block_start = start;
        self.blocks = blocks;
    }

    /// Writes the place of every row of a front into `local`; other rows keep what they had.
    fn number(&self, front: usize, local: &mut [u32]) {
        let columns = self.columns(front);
        let width = columns.len();
        for (k, column) in columns.enumerate() {
            local[column] = small(k);
        }
        for (k, &row) in self.rows(front).iter().enumerate() {
            local[row as usize] = small(width + k);
        }
    }

    fn place_all(&mut self) {
        let mut in_parent = vec![0; self.rows.len()];
        let mut local = vec![NONE; self.unknowns()];
        for front in 0..self.fronts() {
            self.number(front, &mut local);
            for &child in self.children(front) {
                let range = self.row_start[child as usize]..self.row_start[child as usize + 1];
                for (place, &row) in in_parent[range.clone()].iter_mut().zip(&self.rows[range]) {
                    *place = local[row as usize];
                }
            }
        }
        self.in_parent = in_parent;
    }

    /// Cuts the tree into branches and crown.
    fn cut(&mut self, parent: &[u32]) {
        let mut work: Vec<f64> = (0..self.fronts()).map(|front| self.work_of(front)).collect();
        let mut first: Vec<usize> = (0..self.fronts()).collect();
        for front in 0..self.fronts() {
            if parent[front] != NONE {
                let up = parent[front] as usize;
                work[up] += work[front];
                first[up] = first[up].min(first[front]);
            }
        }
        let roots = (0..self.fronts()).filter(|&front| parent[front] == NONE);
        let most = BRANCH_SHARE * roots.map(|root| work[root]).sum::<f64>();
        for front in 0..self.fronts() {
            if work[front] > most {
                self.crown.push(front);
            } else if parent[front] == NONE || work[parent[front] as usize] > most {
                self.branches.push(first[front]..front + 1);
            }
        }
        self.branch_of = vec![NONE; self.unknowns() / self.together];
        for (index, branch) in self.branches.iter().enumerate() {
            let columns = self.columns(branch.start).start..self.columns(branch.end - 1).end;
            for &unknown in &self.order[columns] {
                self.branch_of[unknown as usize / self.together] = small(index);
            }
        }
    }
}

/// The pattern of whole groups of `together` unknowns, by that of the first of each.
fn among_groups(offsets: &[usize], rows: &[usize], together: usize) -> (Vec<usize>, Vec<usize>) {
    let mut group_rows = Vec::with_capacity(rows.len() / (together * together));
    let mut group_offsets = vec![0];
    for first in (0..offsets.len() - 1).step_by(together) {
        let column = &rows[offsets[first]..offsets[first + 1]];
        group_rows
            .extend(column.iter().filter(|&row| row % together == 0).map(|row| row / together));
        group_offsets.push(group_rows.len());
    }
    (group_offsets, group_rows)
}

fn small(index: usize) -> u32 {
    u32::try_from(index).expect("numbers of unknowns and entries were checked against 2³²")
}

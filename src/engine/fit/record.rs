//! A test of a bar: strains and stresses in the order in which they were read.

/// Meaning of the columns of a test.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Measure {
    /// Force over the first section, elongation over the first length.
    #[default]
    Engineering,
    /// Force over the section as it is, logarithmic strain.
    True,
}

/// A test. Strains are logarithmic, stresses in MPa over the section that a bar of constant volume would
/// have; see [`crate::material::bar`].
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Its name.
    pub label: String,
    /// Axial strain, from none.
    pub strains: Vec<f64>,
    /// Axial stress, MPa.
    pub stresses: Vec<f64>,
    /// Standard error of a stress, MPa, when it is known.
    pub error: Option<f64>,
    /// Weight of the test: 2 counts as if every point were there twice.
    pub weight: f64,
}

impl Record {
    /// From the columns of a test machine.
    #[must_use]
    pub fn new(label: &str, columns: [Vec<f64>; 2], measure: Measure) -> Self {
        let [strains, stresses] = columns;
        let (strains, stresses) = match measure {
            Measure::True => (strains, stresses),
            Measure::Engineering => {
                let stresses = strains.iter().zip(&stresses).map(|(e, s)| s * (1.0 + e)).collect();
                (strains.iter().map(|e| e.ln_1p()).collect(), stresses)
            }
        };
        Self { label: label.to_owned(), strains, stresses, error: None, weight: 1.0 }
    }

    /// Largest size of its strains.
    #[must_use]
    pub fn amplitude(&self) -> f64 {
        self.strains.iter().fold(0.0, |most, strain| most.max(strain.abs()))
    }

    /// Largest size of its stresses, MPa.
    #[must_use]
    pub fn largest_stress(&self) -> f64 {
        self.stresses.iter().fold(0.0, |most, stress| most.max(stress.abs()))
    }

    /// Number of points before the strain first turns back by more than a hundredth of the largest.
    pub(crate) fn first_pull(&self) -> usize {
        let back = 0.01 * self.amplitude();
        let mut farthest = 0.0_f64;
        for (k, strain) in self.strains.iter().enumerate() {
            let way = if farthest == 0.0 { strain.signum() } else { farthest.signum() };
            if way * (farthest - strain) > back {
                return k;
            }
            if strain.abs() > farthest.abs() {
                farthest = *strain;
            }
        }
        self.strains.len()
    }
}

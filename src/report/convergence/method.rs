//! How the bands of a convergence study are made.

/// How the bands are made, with the sources; for the page and the file.
pub const METHOD: &str = "Order p observed on three levels; limit by Richardson's extrapolation; band: \
     grid-convergence index with safety factor 1.25 about the value of the case, with an order no higher than \
     that of the theory (mesh 2, increments 1). Where values do not approach in step with an order in the expected \
     range (mesh 0.5 to 4.5, increments 0.5 to 2), the band is three times the largest change. The bands of mesh and \
     increments are added. Sources: P. J. Roache, J. Fluids Eng. 116 (1994) 405; I. B. Celik et al., J. Fluids Eng. \
     130 (2008) 078001 (from memory). A band is an estimate of the discretisation error alone: it says nothing about \
     metal, idealisation or measure of strain.";

//! Limits of a computed life, and tests that it does not replace.

/// The weakness of the model, beside every headline.
pub(super) const LACK: &str = "The first line is a through crack in the field of a plane plate. Real cracks start at a \
     corner of the entry face, where the compression is least, how much less a plane model does not know; \
     published tests of expanded holes find factors of 1.5 to 15.";

/// Largest factor on the plain life that conservative practice credits: common practice, no source.
pub(super) const USUAL_CREDIT: f64 = 3.0;

/// Effects that a computed life does not contain.
pub(super) const OUTSIDE: [&str; 7] = [
    "The stress is that of a plane plate. Real cracks at expanded holes mostly start as corner cracks at the \
     face where the mandrel entered, where the compression is least: how much less is an assumption here \
     unless the case has a [section], and cracks in the middle of the bore, from scores or at countersinks are outside.",
    "Corrosion, fretting under heads and between plates, and load transfer beyond the stated bearing \
     forces are outside. At full load transfer a benefit of expansion was not found in tests.",
    "The quality of the work is outside: sleeve position, scores, burrs, out-of-round holes, a tool \
     below size. The residual stress is that of a process that went as drawn.",
    "Residual stress is added by superposition. It relaxes by the load of [life] itself, unless \
     `relaxation = false`, and by load stages of the case; heat, creep and loads beyond those stated are \
     outside. The plain hole has none: the compression that its own yielding under the load would leave \
     is not counted, so its life is on the short side and the factor on the high side.",
    "Where superposition closes the crack, a law gets the part of the cycle that it was fitted with. Faces \
     that touch near the hole while the tip is open are not followed; that leaves out a wedge, on the safe \
     side for the range.",
    "No cycle changes the growth of the next: retardation by overloads and acceleration by underloads \
     are left out.",
    "Short cracks, below about a millimetre, can grow faster than these laws say. Scatter of growth \
     constants alone is about a factor of two in life.",
];

/// Tests and rules that no computed life replaces.
pub(super) const DECIDE: &str = "Airworthiness policy commonly asks that damage tolerance be shown without the \
     benefit of expansion, and where a benefit is credited a factor of three on life is conservative \
     practice (common practice, no source).";

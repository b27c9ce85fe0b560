//! What a life leaves out, and what it does not replace.
//!
//! Floor 9, `report`.

/// What a life here does not contain.
pub(super) const OUTSIDE: [&str; 7] = [
    "Through cracks in a two-dimensional plate only. Real cracks at expanded holes mostly start as \
     corner cracks at the face where the mandrel entered, where the compression is least: corner and \
     surface cracks are outside, and with them the difference between the faces.",
    "Corrosion, fretting under heads and between plates, and load transfer by fasteners are outside. At \
     full load transfer a benefit of expansion was not found in tests.",
    "The quality of the work is outside: sleeve position, scores, burrs, out-of-round holes, a tool \
     below size. The residual stress is that of a process that went as drawn.",
    "Residual stress stays as it is and is added by superposition. Relaxation in service is in it only \
     as far as load stages of the case bring it about.",
    "Where superposition closes the crack only its open part counts. Faces that touch near the hole while \
     the tip is open are not followed; that leaves out a wedge, on the safe side for the range.",
    "No cycle changes the growth of the next: retardation by overloads and acceleration by underloads \
     are left out.",
    "Short cracks, below about a millimetre, can grow faster than these laws say. Scatter of growth \
     constants alone is about a factor of two in life.",
];

/// What no life here replaces.
pub(super) const DECIDE: &str = "Airworthiness policy commonly asks that damage tolerance be shown without the \
     benefit of expansion, and where a benefit is credited a factor of three on life is conservative \
     practice (common practice, no source).";

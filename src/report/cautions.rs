//! Limits of the model, and cautions for the use of its numbers.
//!
//! One text for the summary and the page. All of it is common practice, no source.

/// Effects that the model does not contain.
pub(crate) const LIMITS: [&str; 6] = [
    "The model is two-dimensional. In a real plate the residual stress differs between the face \
     where the mandrel enters, the middle and the face where it leaves; the entry face usually \
     keeps the least compression. The drag of the mandrel and the bending it leaves are outside.",
    "Plane stress and plane strain bracket a plate of finite thickness; neither is the plate.",
    "With the default, `strains = \"finite\"`, the part is followed as it deforms, and results stand in \
     the deformed part. With `strains = \"small\"` they stand in the part as drawn, and strains above \
     3 % are outside what that theory is meant for. The summary states the largest strain.",
    "The tool is a circle that grows and shrinks without friction. Sleeve slip, sleeve wear and \
     out-of-round starting holes are outside.",
    "Hardening decides how far the edge yields in reverse. Read the stress next to the \
     edge as a range between the hardening laws of the bracket, not as one number.",
    "The metal is homogeneous and isotropic, free of stress at the start, and does not creep, \
     relax or crack.",
];

/// Dangers to the part and to people, and tests that the numbers do not replace.
pub(crate) const CAUTIONS: [&str; 7] = [
    "A compressive overload after the work can reduce or reverse the residual stress; include it \
     as a load stage.",
    "Heat (service, cure, repair) relaxes residual stress; nothing here accounts for it.",
    "Countersinking, spotfacing or reaming again after the work removes stressed metal and changes \
     the rest.",
    "Expanding a hole again is a different operation from expanding it once: model both stages.",
    "Fretting under a fastener head or between plates can start cracks away from the compressed \
     edge.",
    "Pulling equipment stores energy: a mandrel or puller that breaks can throw parts along its \
     axis. Stay out of that line.",
    "These numbers do not replace the governing specification, approved data, or the judgement of \
     a licensed engineer.",
];

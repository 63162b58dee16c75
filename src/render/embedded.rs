//! The templates that are built in. A file that is not in this list does not exist for the tool.

/// What a template file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Words: filled by Tera from a view.
    Words,
    /// Looks: pure Typst, handed on as it is.
    Looks,
}

/// One built-in file.
#[derive(Debug, Clone, Copy)]
pub struct Embedded {
    /// Its name, which is also its path below the folder of an override: `gp-letter/main.typ`.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Its text.
    pub text: &'static str,
}

macro_rules! embedded {
    ($($kind:ident $name:literal,)*) => {
        /// Every built-in file, looks first.
        pub static EMBEDDED: &[Embedded] = &[
            $(Embedded {
                name: $name,
                kind: Kind::$kind,
                text: include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/templates/", $name)),
            },)*
        ];

        /// Name and text of every built-in file, to be written out.
        pub static FILES: &[(&str, &str)] = &[
            $(($name, include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/templates/", $name))),)*
        ];
    };
}

embedded! {
    Looks "layout.typ",
    Looks "parts/toes.typ",
    Looks "parts/charts.typ",
    Looks "parts/icons.typ",
    Looks "parts/easy.typ",
    Words "page.typ",
    Words "amended.typ",
    Words "banner.typ",
    Words "version.typ",
    Words "list.typ",
    Words "left-out.typ",
    Words "clinician/actions.typ",
    Words "clinician/consent.typ",
    Words "clinician/earlier.typ",
    Words "clinician/healing.typ",
    Words "clinician/incident.typ",
    Words "clinician/pain-relief.typ",
    Words "clinician/risks.typ",
    Words "clinician/needs.typ",
    Words "clinician/diabetes.typ",
    Words "clinician/affected-toe.typ",
    Words "clinician/diagnoses.typ",
    Words "clinician/feet-alt.typ",
    Words "clinician/procedures.typ",
    Words "clinician/visits.typ",
    Words "operation-note/main.typ",
    Words "gp-letter/main.typ",
    Words "consent-form/main.typ",
    Words "aftercare-leaflet/main.typ",
    Words "aftercare-leaflet/easy-read.typ",
    Words "aftercare-leaflet/given-up.typ",
    Words "aftercare-leaflet/pain.typ",
    Words "aftercare-leaflet/reasons.typ",
    Words "candour-letter/main.typ",
    Words "day-list/main.typ",
    Words "day-list/look-out.typ",
    Words "outcome-audit/main.typ",
    Words "outcome-audit/indicator.typ",
    Words "outcome-audit/group.typ",
    Words "school-note/main.typ",
    Words "patient/page.typ",
    Words "patient/call-us.typ",
    Words "patient/call-999.typ",
    Words "patient/call-999-easy.typ",
    Words "patient/clot.typ",
    Words "patient/for-whom.typ",
    Words "patient/toe.typ",
    Words "patient/toe-alt.typ",
    Words "preparation-leaflet/main.typ",
    Words "preparation-leaflet/easy-read.typ",
    Words "preparation-leaflet/comes.typ",
    Words "dressing-leaflet/main.typ",
    Words "dressing-leaflet/easy-read.typ",
    Words "visit-note/main.typ",
    Words "visit-letter/main.typ",
    Words "closing-letter/main.typ",
    Words "closing-letter/easy-read.typ",
    Words "clinician/letter-head.typ",
    Words "clinician/observation.typ",
    Words "clinician/seen-toe.typ",
    Words "outstanding-list/main.typ",
    Words "letter-run/main.typ",
    Words "lot-list/main.typ",
}

//! `unguis new`: a case file to fill in, from the clinic's protocol.

use crate::case::{Clinic, Reference, read_clinic, read_text};
use crate::cli::args::New;
use crate::cli::{Error, Exit, io};
use crate::diagnostic::render::{Style, render};
use crate::units::TextValue;

/// Writes the file; never over one that is there.
pub(super) fn run(args: &New) -> Result<Exit, Error> {
    let reference = Reference::parse(&args.reference).map_err(Error::Usage)?;
    let bytes = io::read_bytes(&args.clinic)?;
    let read = match read_text(&args.clinic.display().to_string(), &bytes) {
        Ok(text) => read_clinic(text.into()),
        Err(diagnostic) => {
            io::eprint(&render(&[diagnostic], Style::Human { colour: false }));
            return Ok(Exit::Findings);
        }
    };
    let Some(clinic) = read.value else {
        io::eprint(&render(&read.diagnostics, Style::Human { colour: false }));
        return Ok(Exit::Findings);
    };
    let file = args.to.clone().unwrap_or_else(|| args.clinic.with_file_name(format!("{reference}.yaml")));
    io::write_new(&file, blank_case(&reference, &clinic).as_bytes())?;
    io::print(&format!("{}\n", file.display()));
    Ok(Exit::Done)
}

/// A case file with what every case needs to fill in, and the rest as comments. What the clinic
/// always uses is filled in; what must be read off a label or a patient never is.
fn blank_case(reference: &Reference, clinic: &Clinic) -> String {
    let gps = clinic.gps.keys().cloned().collect::<Vec<_>>().join(", ");
    let operators = clinic.practitioners.keys().cloned().collect::<Vec<_>>().join(", ");
    let usual = clinic.protocol.anaesthetic.as_ref();
    let agent = usual.map_or("AGENT".to_owned(), |usual| usual.agent.clone());
    let strength = usual.map_or("STRENGTH %".to_owned(), |usual| usual.strength.to_string());
    let phenol = clinic.protocol.phenol.map_or("STRENGTH %".to_owned(), |strength| strength.to_string());
    format!(
        r#"# Fill in what stands in capitals; take the `#` from what applies and delete the rest.
# `unguis check` says what is missing, with line and column.
reference: {reference}
patient:
  given: GIVEN NAME
  family: FAMILY NAME
  born: YEAR-MONTH-DAY
  sex: FEMALE OR MALE OR OTHER
  # nhs_number: TEN DIGITS
  # address: [FIRST LINE, TOWN, POSTCODE]
  # weight: NUMBER kg
  # height: NUMBER cm
  # needs: [large print]        # large print, easy read, interpreter, hearing, carer present
  # guardian: {{name: FULL NAME, relationship: MOTHER, parental_responsibility: true}}
# gp: KEY                       # one of: {gps}
history:
  diabetes: NONE, OR A BLOCK    # none, or {{type: 2, hba1c: 58 mmol/mol, tested: YEAR-MONTH-DAY}}
  conditions: [CONDITION]       # [] says that none is known
  medicines: [GENERIC NAME]     # [] says that none is taken
  allergies: NONE KNOWN, OR A LIST   # none known, or [{{to: latex, reaction: rash}}]
problem:
  summary: THE STORY IN A LINE
  toes:
    TOE: {{edges: [lateral], stage: 2, infected: false}}   # R1 to R5, L1 to L5; 1 is the hallux
vascular:
  right: {{pulses: palpable}}     # palpable, weak, absent; also dorsalis_pedis, posterior_tibial, toe
  left: {{pulses: palpable}}
sensation: {{right: 10/10, left: 10/10}}
plan:
  TOE: {{nail: partial, edges: [lateral], matrix: phenol}}
consent:
  signed: YEAR-MONTH-DAY
  by: patient                   # patient, guardian, best interests
  alternatives: [no treatment]
# operation:
#   date: YEAR-MONTH-DAY
#   start: "09:30"
#   finish: "10:20"
#   operator: KEY               # one of: {operators}
#   anaesthetic: {{agent: {agent}, strength: {strength}, batch: BATCH, expires: YEAR-MONTH}}
#   phenol: {{strength: {phenol}, batch: BATCH, expires: YEAR-MONTH}}
#   instruments: {{tray: TRAY, cycle: "CYCLE"}}
#   toes:
#     TOE:
#       nail: partial
#       edges: [lateral]
#       injected: NUMBER ml
#       at: "09:35"
#       tourniquet: {{on: "09:50", off: "10:01"}}
#       phenol: {{applications: 3, each: 60 s}}
#       lavage: saline
#       refill: NUMBER s
#   complications: none
#   urgency: elective
#   blood_loss: BLOOD LOSS
#   antibiotics: none
#   vte_prophylaxis: none
"#
    )
}

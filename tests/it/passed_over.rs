//! A folder of cases with other files in it, through the program itself.

use crate::support::{root, scratch, unguis_in};

#[test]
fn every_command_over_a_folder_names_what_is_no_case_once() {
    let dir = scratch();
    let demo = |name: &str| std::fs::read(root().join("cases").join(name)).expect("a demo case");
    for (name, content) in [
        ("clinic.yaml", demo("clinic.yaml")),
        ("routine-adult.yaml", demo("routine-adult.yaml")),
        ("young-person-17.yaml", demo("young-person-17.yaml")),
        ("Mrs Harrow.docx", Vec::new()),
        ("README.md", Vec::new()),
        (".notes.txt", Vec::new()),
    ] {
        std::fs::write(dir.path().join(name), content).expect("written");
    }
    let note = "note: 1 file is no case file: `Mrs Harrow.docx`; a case file ends in .yaml\n";
    for command in ["check", "draft", "issue"] {
        let ran = unguis_in(dir.path(), [command, ".", "--today", "2026-11-25"]);
        assert_eq!(ran.stderr.matches(note).count(), 1, "{command}: {}", ran.stderr);
        assert!(!ran.stdout.contains("docx"), "{command}: {}", ran.stdout);
        let one = unguis_in(dir.path(), [command, "routine-adult.yaml", "--today", "2026-11-25"]);
        assert!(!one.stderr.contains("no case file"), "{command}: {}", one.stderr);
    }
}

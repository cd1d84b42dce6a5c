//! No bytes do harm: every start of a file and any change in it gives a drawing or an error.

use proptest::prelude::*;

use super::*;

fn files() -> [(&'static str, Vec<u8>); 4] {
    let build = r#"<item objectid="2"/><item objectid="1" transform="1 0 0 0 -1 0 0 0 1 0 0 0"/>"#;
    let component = r#"<object id="2"><components><component objectid="1"/></components></object>"#;
    let threemf = package(&model("", &(cube_object(r#"id="1""#) + component), build));
    let content = format!(r#"<object id="1">{}</object>"#, amf_mesh())
        + r#"<constellation id="2"><instance objectid="1"><rx>1</rx></instance></constellation>"#;
    let amf = amf("", &content);
    let zip = zip_of(&[("a.stl", &stl_cube()), ("b.amf", &amf)]);
    [
        ("3MF", threemf),
        ("gz", gz_of(&amf)),
        ("AMF", amf),
        ("zip", zip),
    ]
}

#[test]
fn every_start_of_a_file_is_read_or_refused() {
    for (name, bytes) in files() {
        assert!(opened(bytes.clone()).is_ok(), "{name}");
        for end in 0..bytes.len() {
            let _ = opened(bytes[..end].to_vec());
        }
    }
}

#[test]
fn every_start_of_a_model_is_refused() {
    let whole = model("", &cube_object(r#"id="1""#), r#"<item objectid="1"/>"#);
    for end in 0..whole.len() {
        assert!(opened(package(&whole[..end])).is_err(), "{end}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn changed_xml_never_panics(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12)) {
        let mut text = model("", &cube_object(r#"id="1""#), r#"<item objectid="1"/>"#).into_bytes();
        let mut amf = amf("", &format!(r#"<object id="1">{}</object>"#, amf_mesh()));
        for (at, byte) in &changes {
            let i = at.index(text.len());
            text[i] = *byte;
            let i = at.index(amf.len());
            amf[i] = *byte;
        }
        let _ = opened(zip_of(&[("3D/3dmodel.model", &text)]));
        let _ = opened(amf);
    }

    #[test]
    fn changed_archives_never_panic(which in 0usize..4, changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let mut bytes = files()[which].1.clone();
        for (at, byte) in &changes {
            let i = at.index(bytes.len());
            bytes[i] = *byte;
        }
        let _ = opened(bytes);
    }
}

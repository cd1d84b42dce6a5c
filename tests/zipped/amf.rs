//! AMF (ISO/ASTM 52915).

use super::*;

fn object(id: u32) -> String {
    format!(r#"<object id="{id}">{}</object>"#, amf_mesh())
}

#[test]
fn a_unit_cube_has_the_volume_of_its_unit() {
    for (unit, mm3) in [
        ("", 1.0),
        (r#"unit="millimeter""#, 1.0),
        (r#"unit="inch""#, 16_387.064),
        (r#"unit="feet""#, 304.8f64.powi(3)),
        (r#"unit="meter""#, 1e9),
    ] {
        let read = drawing(amf(unit, &object(1)));
        assert_eq!(read.format, "AMF");
        let [part] = <[DrawnPart; 1]>::try_from(read.parts).unwrap();
        let volume = volume_mm3(part, read.unit);
        assert!((volume / mm3 - 1.0).abs() < 1e-9, "{unit}: {volume}");
    }
    let sentence = refused(amf(r#"unit="cubit""#, &object(1)));
    assert!(
        sentence.contains("AMF, line 3: the unit is \"cubit\""),
        "{sentence}"
    );
}

#[test]
fn all_volumes_of_an_object_are_one_part_and_objects_are_parts() {
    let two_volumes = object(1).replace(
        "</volume>",
        r#"</volume><volume type="support"><triangle/></volume><volume><triangle><v1>0</v1><v2>1</v2><v3>2</v3></triangle></volume>"#,
    );
    let named = object(2).replacen('>', r#"><metadata type="name">a &lt;b&gt;</metadata>"#, 1);
    let parts = drawing(amf("", &(two_volumes + &named))).parts;
    assert_eq!(parts.len(), 2);
    assert_eq!(parts[0].surface.triangles.len(), 13);
    assert_eq!(parts[0].name.as_deref(), Some("object 1"));
    assert_eq!(parts[1].name.as_deref(), Some("a <b>"));
    assert!(remarks(&parts[0]).contains("volumes of support"));
}

#[test]
fn a_constellation_turns_then_shifts_and_copies_are_counted() {
    let content = object(1)
        + r#"<constellation id="2"><instance objectid="1"><deltax>10</deltax><rz>90</rz></instance><instance objectid="1"/></constellation>"#
        + r#"<constellation id="3"><instance objectid="2"><deltaz>5</deltaz></instance><instance objectid="2"/></constellation>"#;
    let parts = drawing(amf("", &content)).parts;
    assert_eq!(parts.len(), 1);
    assert_eq!(parts[0].copies, 4);
    // (1, 0, 0) turned by 90 degrees about z is (0, 1, 0), then moved by 10 in x and 5 in z.
    let corner = parts[0].surface.points[1];
    for (have, want) in corner.into_iter().zip([10.0, 1.0, 5.0]) {
        close(have, want);
    }
    close(wound_volume(&parts[0]), 1.0);
}

#[test]
fn circles_and_missing_things_are_refused() {
    let hold = |id: u32, inner: u32| {
        format!(r#"<constellation id="{id}"><instance objectid="{inner}"/></constellation>"#)
    };
    let sentence = refused(amf("", &(object(1) + &hold(2, 3) + &hold(3, 2))));
    assert!(sentence.contains("in a circle"), "{sentence}");
    let sentence = refused(amf("", &(object(1) + &hold(2, 9))));
    assert!(
        sentence.contains("no object with the id \"9\""),
        "{sentence}"
    );
    let sentence = refused(amf("", &(object(1) + &object(1))));
    assert!(sentence.contains("given to a second thing"), "{sentence}");
    let sentence = refused(amf("", ""));
    assert!(sentence.contains("no object to make"), "{sentence}");
}

#[test]
fn broken_numbers_and_document_types_are_refused() {
    for (from, to, said) in [
        ("<x>1</x>", "<x>1,5</x>", "x is \"1,5\""),
        ("<x>1</x>", "", "lacks one of x, y and z"),
        ("<v1>0</v1>", "<v1>8</v1>", "one of the mesh's 8 vertices"),
        ("<v1>0</v1>", "", "lacks one of v1, v2 and v3"),
        (
            "<mesh>",
            "&boom;<mesh>",
            "\"boom\" is not one of XML's five",
        ),
    ] {
        let sentence = refused(amf("", &object(1).replacen(from, to, 1)));
        assert!(sentence.contains(said), "{said} not in {sentence}");
        assert!(sentence.starts_with("AMF, line "), "{sentence}");
    }
    let bomb = b"<!DOCTYPE amf [<!ENTITY a \"aaaa\">]><amf/>".to_vec();
    assert!(refused(bomb).contains("document type definition"));
}

#[test]
fn curved_facets_are_taken_as_flat_and_said_so() {
    let curved = object(1).replacen(
        "</coordinates>",
        "</coordinates><normal><nx>0</nx></normal>",
        1,
    );
    let part = drawing(amf("", &curved)).parts.remove(0);
    assert!(remarks(&part).contains("taken as flat"));
    close(wound_volume(&part), 1.0);
}

#[test]
fn numbers_may_be_written_with_entities_and_sections() {
    let odd = object(1)
        .replace("<x>1</x>", "<x> &#49;.<!-- -->0 </x>")
        .replace("<y>1</y>", "<y><![CDATA[1]]></y>");
    close(wound_volume(&drawing(amf("", &odd)).parts[0]), 1.0);
}

#[test]
fn a_zipped_or_gzipped_amf_is_the_file_itself() {
    let plain = amf("", &object(1));
    for bytes in [zip_of(&[("part.amf", &plain)]), gz_of(&plain)] {
        let files = opened(bytes).unwrap();
        assert_eq!(files.len(), 1);
        assert_eq!(files[0].inner, None);
        assert_eq!(files[0].drawing.as_ref().unwrap().format, "AMF");
    }
}

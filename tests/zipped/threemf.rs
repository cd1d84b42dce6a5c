//! 3MF: numbers from the core specification (3MF Consortium) unless said otherwise.

use super::*;

const ONE: &str = r#"<item objectid="1"/>"#;

fn cube_in(attributes: &str, build: &str) -> Drawing {
    drawing(package(&model(
        attributes,
        &cube_object(r#"id="1""#),
        build,
    )))
}

#[test]
fn a_unit_cube_has_the_volume_of_its_unit() {
    // An inch is 25.4 mm exactly (1959): 25.4^3 = 16387.064.
    for (unit, mm3) in [
        (r#"unit="micron""#, 1e-9),
        ("", 1.0),
        (r#"unit="millimeter""#, 1.0),
        (r#"unit="centimeter""#, 1e3),
        (r#"unit="inch""#, 16_387.064),
        (r#"unit="foot""#, 304.8f64.powi(3)),
        (r#"unit="meter""#, 1e9),
    ] {
        let Drawing {
            unit: stated,
            parts,
            ..
        } = cube_in(unit, ONE);
        let cubed = stated.unwrap().mm().powi(3);
        assert!((cubed / mm3 - 1.0).abs() < 1e-12, "{unit}");
        close(wound_volume(&parts[0]), 1.0);
        if cubed > 0.1 {
            let read = volume_mm3(parts.into_iter().next().unwrap(), stated);
            assert!((read / mm3 - 1.0).abs() < 1e-9, "{unit}: {read}");
        }
    }
    let sentence = refused(package(&model(
        r#"unit="furlong""#,
        &cube_object(r#"id="1""#),
        ONE,
    )));
    assert!(
        sentence.contains("line 2: the unit is \"furlong\""),
        "{sentence}"
    );
}

#[test]
fn a_transform_is_applied_to_row_vectors() {
    let mesh = r#"<mesh><vertices><vertex x="1" y="2" z="3"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/></vertices><triangles><triangle v1="0" v2="1" v3="2"/></triangles></mesh>"#;
    let object = format!(r#"<object id="1">{mesh}</object>"#);
    let read = |transform: &str| {
        let item = format!(r#"<item objectid="1" transform="{transform}"/>"#);
        let parts = drawing(package(&model("", &object, &item))).parts;
        parts[0].surface.points.clone()
    };
    assert_eq!(read("1 0 0 0 1 0 0 0 1 10 20 30")[0], [11.0, 22.0, 33.0]);
    // The first row is where x goes: here to y.
    assert_eq!(read("0 1 0 -1 0 0 0 0 1 0 0 0")[1], [0.0, 1.0, 0.0]);
}

#[test]
fn components_are_put_in_their_places_from_the_inside_out() {
    let resources = cube_object(r#"id="1""#)
        + r#"<object id="2"><components><component objectid="1" transform="2 0 0 0 2 0 0 0 2 1 0 0"/></components></object>"#
        + r#"<object id="3"><components><component objectid="2" transform="1 0 0 0 1 0 0 0 1 0 10 0"/><component objectid="1"/></components></object>"#;
    let build = r#"<item objectid="3" transform="1 0 0 0 1 0 0 0 1 0 0 100"/>"#;
    let parts = drawing(package(&model("", &resources, build))).parts;
    assert_eq!(parts.len(), 1);
    assert_eq!(parts[0].name, None);
    assert_eq!(parts[0].surface.triangles.len(), 24);
    // (1, 1, 1) doubled and moved by 1 in x, then by 10 in y, then by 100 in z.
    assert_eq!(parts[0].surface.points[6], [3.0, 12.0, 102.0]);
    close(wound_volume(&parts[0]), 9.0);
}

#[test]
fn a_mirrored_instance_keeps_a_positive_volume() {
    let mirrored = cube_in(
        "",
        r#"<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>"#,
    );
    close(wound_volume(&mirrored.parts[0]), 1.0);
    let twice = cube_object(r#"id="1""#)
        + r#"<object id="2"><components><component objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/></components></object>"#;
    let back = r#"<item objectid="2" transform="1 0 0 0 -3 0 0 0 1 0 0 0"/>"#;
    close(
        wound_volume(&drawing(package(&model("", &twice, back))).parts[0]),
        3.0,
    );
}

#[test]
fn one_object_turned_and_shifted_is_one_part_with_copies() {
    let build = r#"<item objectid="1"/><item objectid="1" transform="0 1 0 -1 0 0 0 0 1 5 0 0"/>
        <item objectid="1" transform="0.707107 0.707107 0 -0.707107 0.707107 0 0 0 1 9 0 0"/>"#;
    let parts = cube_in("", build).parts;
    assert_eq!(parts.len(), 1);
    assert_eq!(parts[0].copies, 3);
}

#[test]
fn other_sizes_other_hands_and_other_objects_are_parts_of_their_own() {
    let resources =
        cube_object(r#"id="1" name="bolt &amp; nut""#) + &cube_object(r#"id="4" type="model""#);
    let build = r#"<item objectid="1"/><item objectid="4"/><item objectid="1" transform="2 0 0 0 1 0 0 0 1 0 0 0"/>
        <item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/><item objectid="4"/>"#;
    let parts = drawing(package(&model("", &resources, build))).parts;
    let seen: Vec<(&str, u32)> = parts
        .iter()
        .map(|p| (p.name.as_deref().unwrap(), p.copies))
        .collect();
    assert_eq!(
        seen,
        [
            ("bolt & nut", 1),
            ("object 4", 2),
            ("bolt & nut (2)", 1),
            ("bolt & nut (3)", 1)
        ]
    );
}

#[test]
fn only_objects_that_the_build_names_are_made_and_support_is_not() {
    let resources = cube_object(r#"id="1""#)
        + &cube_object(r#"id="2" type="support""#)
        + &cube_object(r#"id="3""#)
        + &cube_object(r#"id="5" type="solidsupport""#);
    let build = r#"<item objectid="1"/><item objectid="2"/><item objectid="5"/>"#;
    let parts = drawing(package(&model("", &resources, build))).parts;
    assert_eq!(parts.len(), 2);
    assert!(remarks(&parts[0]).contains("1 object of type support left out"));
    let none = refused(package(&model("", &resources, r#"<item objectid="2"/>"#)));
    assert!(none.contains("no object of type model"), "{none}");
    let empty = refused(package(&model("", &resources, "")));
    assert!(empty.contains("nothing to make"), "{empty}");
}

#[test]
fn the_production_extension_reads_other_model_parts_of_the_package() {
    let root = model(
        r#"requiredextensions="p""#,
        r#"<object id="2" p:UUID="a"><components><component objectid="7" p:path="/3D/My%20parts/a.model"/></components></object>"#,
        r#"<item objectid="2"/><item objectid="7" p:path="/3D/my parts/A.model" transform="1 0 0 0 1 0 0 0 4 0 0 0"/>"#,
    );
    let other = model("", &cube_object(r#"id="7""#), "");
    let files = |other_name| {
        zip_of(&[
            ("_rels/.rels", relationships("3D/root.model").as_bytes()),
            ("3D/root.model", root.as_bytes()),
            (other_name, other.as_bytes()),
        ])
    };
    let parts = drawing(files("3D/My parts/a.model")).parts;
    close(wound_volume(&parts[0]), 1.0);
    close(wound_volume(&parts[1]), 4.0);
    assert_eq!(remarks(&parts[0]), "");
    let missing = refused(files("3D/b.model"));
    assert!(
        missing.contains("3D/root.model, line 3: the model part")
            && missing.contains("not in the package"),
        "{missing}"
    );
    let out = root.replace("/3D/My%20parts/a.model", "../../etc/passwd");
    let out = refused(package(&out));
    assert!(out.contains("leads out of the package"), "{out}");
}

#[test]
fn a_package_without_relationships_starts_with_its_only_model() {
    let model = model("", &cube_object(r#"id="1""#), ONE);
    close(
        wound_volume(&drawing(zip_of(&[("3D/3DModel.model", model.as_bytes())])).parts[0]),
        1.0,
    );
    let outside = relationships("http://example.com/3D/3dmodel.model");
    let outside = refused(zip_of(&[
        ("_rels/.rels", outside.as_bytes()),
        ("3D/3dmodel.model", model.as_bytes()),
    ]));
    assert!(outside.contains("outside the package"), "{outside}");
}

#[test]
fn what_is_not_understood_is_named_once() {
    let more = r#"xmlns:v="urn:vendor" xmlns:s="http://schemas.microsoft.com/3dmanufacturing/slice/2015/07" requiredextensions="s""#;
    let resources = cube_object(r#"id="1" s:slicestackid="9""#) + "<v:x><v:y/></v:x>";
    let build = r#"<item objectid="1" sparkle="1"/>"#;
    let parts = drawing(package(&model(more, &resources, build))).parts;
    let said = remarks(&parts[0]);
    assert!(said.contains("requires what is not read: slices"), "{said}");
    assert!(
        said.contains("passed over in the file: urn:vendor"),
        "{said}"
    );
    assert!(said.contains("sparkle"), "{said}");
    let lattice = r#"xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02" requiredextensions="b""#;
    let mesh = r#"<object id="1"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="0" y="0" z="1"/></vertices><b:beamlattice/></mesh></object>"#;
    let sentence = refused(package(&model(lattice, mesh, ONE)));
    assert!(
        sentence.contains("not read: beam lattice; ask for the part as plain triangles"),
        "{sentence}"
    );
}

#[test]
fn a_broken_model_is_refused_with_its_line() {
    let cube = cube_object(r#"id="1""#);
    for (resources, build, said) in [
        (
            cube.replace(r#"v1="0""#, r#"v1="8""#),
            ONE,
            "one of the mesh's 8 vertices",
        ),
        (
            cube.replace(r#"v1="0""#, r#"v1="-1""#),
            ONE,
            "one of the mesh's 8 vertices",
        ),
        (
            cube.replace(r#"x="1""#, r#"x="1,5""#),
            ONE,
            "\"1,5\" where a finite number",
        ),
        (
            cube.replace(r#"x="1""#, r#"x="inf""#),
            ONE,
            "a finite number",
        ),
        (
            cube.replace(r#" x="1""#, ""),
            ONE,
            "lacks one of x, y and z",
        ),
        (
            cube.replace(r#"v3="1""#, ""),
            ONE,
            "lacks one of v1, v2 and v3",
        ),
        (cube.clone() + &cube, ONE, "given to a second object"),
        (
            cube.clone(),
            r#"<item objectid="2"/>"#,
            "no object with the id 2",
        ),
        (cube.clone(), r#"<item/>"#, "objectid is missing"),
        (
            cube.clone(),
            r#"<item objectid="1" transform="1 0 0"/>"#,
            "12 finite numbers",
        ),
        (
            r#"<object id="1"/>"#.into(),
            ONE,
            "neither a mesh nor components",
        ),
        (
            r#"<object id="1"><mesh/></object>"#.into(),
            ONE,
            "0 vertices and 0 triangles",
        ),
        (
            cube.replace("<object", r#"<object type="thing""#),
            ONE,
            "of type \"thing\"",
        ),
        (
            cube.replace("</mesh>", "</mash>"),
            ONE,
            "</mash> stands where </mesh> should",
        ),
    ] {
        let sentence = refused(package(&model("", &resources, build)));
        assert!(sentence.contains(said), "{said} not in {sentence}");
        assert!(
            sentence.contains("3MF, 3D/3dmodel.model, line "),
            "{sentence}"
        );
    }
}

#[test]
fn circles_and_endless_nesting_are_refused() {
    let holds = |id: u32, inner: &[u32]| {
        let inner: String = inner
            .iter()
            .map(|i| format!(r#"<component objectid="{i}"/>"#))
            .collect();
        format!(r#"<object id="{id}"><components>{inner}</components></object>"#)
    };
    let circle = holds(1, &[2]) + &holds(2, &[1]);
    let sentence = refused(package(&model("", &circle, ONE)));
    assert!(sentence.contains("component of itself"), "{sentence}");
    let chain = |length: u32, inner: &dyn Fn(u32) -> Vec<u32>| {
        let mut chain = cube_object(&format!(r#"id="{length}""#));
        for id in 1..length {
            chain += &holds(id, &inner(id + 1));
        }
        model("", &chain, ONE)
    };
    let deep = chain(200, &|next| vec![next]);
    let sentence = refused(package(&deep));
    assert!(sentence.contains("more than 64 deep"), "{sentence}");
    // 2^50 cubes.
    let wide = chain(51, &|next| vec![next, next]);
    let sentence = refused(package(&wide));
    assert!(
        sentence.contains("more than the 4000000 that are read"),
        "{sentence}"
    );
    let deep_enough = chain(60, &|next| vec![next]);
    close(wound_volume(&drawing(package(&deep_enough)).parts[0]), 1.0);
}

#[test]
fn document_types_and_entities_are_refused() {
    let good = model("", &cube_object(r#"id="1""#), ONE);
    let bomb = good.replacen(
        "<model",
        r#"<!DOCTYPE m [<!ENTITY a "aaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]><model"#,
        1,
    );
    let sentence = refused(package(&bomb));
    assert!(sentence.contains("document type definition"), "{sentence}");
    let entity = good.replace("<build>", "<build>&secret;");
    let sentence = refused(package(&entity));
    assert!(
        sentence.contains("\"secret\" is not one of XML's five"),
        "{sentence}"
    );
}

#[test]
fn utf_16_and_byte_order_marks_are_read() {
    let text = model("", &cube_object(r#"id="1""#), ONE);
    let utf_16: Vec<u8> = "\u{feff}"
        .encode_utf16()
        .chain(text.encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    let with_mark = format!("\u{feff}{text}");
    for bytes in [utf_16.as_slice(), with_mark.as_bytes()] {
        let parts = drawing(zip_of(&[("3D/3dmodel.model", bytes)])).parts;
        close(wound_volume(&parts[0]), 1.0);
    }
}

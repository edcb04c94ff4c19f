//! Holds the anatomy that decides about stretches against published positions and length tests.

use matside::body::action::{Guard, MuscleHead, actions};
use matside::body::{Degrees, Motion, Muscle};
use matside::catalogue::anatomy::{Reach, judge, lengthened_heads, shortened_heads};
use matside::catalogue::{Catalogue, MotionAngle};

/// Reads `hip_flexion 80 knee_extension 0`.
fn pose(text: &str) -> Vec<MotionAngle> {
    let words: Vec<&str> = text.split_whitespace().collect();
    words
        .chunks(2)
        .map(|pair| MotionAngle {
            motion: pair[0].parse().expect("a motion"),
            degrees: Degrees::new(pair[1].parse().expect("a number")).expect("in range"),
        })
        .collect()
}

#[test]
fn known_winners_are_full_stretches() {
    use Muscle as M;
    let cases = [
        // Le Sant et al. 2017, J Anat 230:639-650.
        (M::Gastrocnemius, "ankle_dorsiflexion 20 knee_extension 0"),
        (M::Soleus, "ankle_dorsiflexion 25 knee_flexion 90"),
        // Umegaki et al. 2015, Man Ther 20:610-613.
        (M::Hamstrings, "hip_flexion 90 knee_extension 0"),
        // Xu, Hug and Fu 2018, J Sport Health Sci 7:245-249.
        (M::Vasti, "hip_flexion 90 knee_flexion 100"),
        (M::RectusFemoris, "hip_extension 0 knee_flexion 100"),
        // Nojiri et al. 2021, Sports Biomech.
        (M::Iliopsoas, "hip_extension 15 knee_flexion 20"),
        // Itsuda et al. 2024, J Sport Rehabil: 110 bent, 40 across, turned out.
        (
            M::Piriformis,
            "hip_flexion 110 hip_horizontal_adduction 40 hip_external_rotation 40 knee_flexion 90",
        ),
        // McGovern et al. 2017, Int J Sports Phys Ther: obturator internus, hip straight and turned in.
        (M::Piriformis, "hip_internal_rotation 45 knee_flexion 90"),
        // Ogawa et al. 2020, J Biomech 101:109649.
        (M::Adductors, "hip_abduction 40 hip_flexion 90 knee_flexion 90"),
        // Umehara et al. 2015, Clin Biomech 30:1056-1059.
        (M::TensorFasciaeLatae, "hip_adduction 15 hip_extension 10 knee_flexion 90"),
        // Masaki et al. 2019, Eur J Appl Physiol 119:1085-1091.
        (M::ErectorSpinae, "trunk_flexion 40 trunk_lateral_flexion_opposite 20"),
        // Asayama et al. 2021, J Biomech 118:110324.
        (M::LatissimusDorsi, "shoulder_flexion 170 trunk_rotation_opposite 30"),
        // Umehara et al. 2021, J Biomech.
        (
            M::PectoralisMajor,
            "shoulder_abduction 90 shoulder_horizontal_abduction 20 shoulder_external_rotation 80",
        ),
        // Umehara et al. 2017, J Shoulder Elbow Surg: the arm is the handle, the blade goes back and up.
        (
            M::PectoralisMinor,
            "shoulder_abduction 150 shoulder_horizontal_abduction 20 scapula_retraction 20 scapula_upward_rotation 50",
        ),
        // Takasaki et al. 2007, J Shoulder Elbow Surg.
        (
            M::WristExtensors,
            "elbow_extension 0 forearm_pronation 80 wrist_flexion 70 wrist_ulnar_deviation 20",
        ),
        // Song, Weon and Jung 2019, J Musculoskelet Sci Technol 3:1-6.
        (M::LevatorScapulae, "neck_flexion 30 neck_lateral_flexion_opposite 20 neck_rotation_opposite 40"),
        // Zhang et al. 2019, Appl Bionics Biomech 6048562; side-bend and rotation from memory.
        (M::UpperTrapezius, "neck_flexion 30 neck_lateral_flexion_opposite 20 neck_rotation_same 20"),
        // Kendall et al., Muscles: Testing and Function; Keiser University laboratory handout.
        (M::Triceps, "shoulder_flexion 170 elbow_flexion 140"),
        (M::Biceps, "shoulder_extension 50 elbow_extension 0 forearm_pronation 80"),
        (M::WristFlexors, "elbow_extension 0 wrist_extension 70"),
        (M::RotatorCuff, "shoulder_abduction 90 shoulder_internal_rotation 60"),
    ];
    for (muscle, motions) in cases {
        let found = judge(muscle, &pose(motions));
        assert_eq!(found.reach, Reach::Full, "{muscle} in {motions}: {found:?}");
    }
}

#[test]
fn known_losers_are_no_full_stretches() {
    use Muscle as M;
    let cases = [
        // Path lengths of the open MyoSim leg (after Rajagopal et al. 2016): knee bent, gastrocnemius 36 mm short.
        (M::Gastrocnemius, "ankle_dorsiflexion 20 knee_flexion 90"),
        (M::Gastrocnemius, "ankle_dorsiflexion 20"),
        // The same: rectus femoris gains 3 mm at hip 90 and knee 120.
        (M::RectusFemoris, "hip_flexion 90 knee_flexion 120"),
        // The same, and Itsuda et al. 2024: piriformis turned in at 110 gains nothing.
        (
            M::Piriformis,
            "hip_flexion 110 hip_horizontal_adduction 30 hip_internal_rotation 30 knee_flexion 90",
        ),
        // The same: tensor fasciae latae loses 75 mm with the hip bent.
        (M::TensorFasciaeLatae, "hip_flexion 90 hip_adduction 20 knee_flexion 90"),
        // Xu, Hug and Fu 2018: the quadriceps is slack below 41 to 44 degrees of knee flexion.
        (M::Vasti, "knee_flexion 30"),
        // Takasaki et al. 2007: a bent elbow undoes it.
        (M::WristExtensors, "elbow_flexion 45 forearm_pronation 80 wrist_flexion 70"),
        // Rotation alone lengthens neither (Umegaki et al. 2015, Man Ther 20:134-137; Umehara et al. 2015).
        (M::Hamstrings, "hip_internal_rotation 30 knee_extension 0"),
        (M::Adductors, "hip_internal_rotation 30"),
        (M::Iliopsoas, "hip_internal_rotation 30"),
        (M::TensorFasciaeLatae, "hip_external_rotation 30"),
        // Scapular muscles need the scapula.
        (M::PectoralisMinor, "shoulder_abduction 150 shoulder_horizontal_abduction 20"),
        (M::Rhomboids, "shoulder_horizontal_adduction 120"),
    ];
    for (muscle, motions) in cases {
        let found = judge(muscle, &pose(motions));
        assert_ne!(found.reach, Reach::Full, "{muscle} in {motions}: {found:?}");
    }
    // Gracilis: the knee bent, the Phelps test (orthofixar) takes it out; the short adductors remain.
    let heads = lengthened_heads(&pose("hip_abduction 40 knee_flexion 90"));
    assert!(!heads.contains(&MuscleHead::new("gracilis", "")));
    assert!(heads.contains(&MuscleHead::new("adductor_longus", "")));
}

#[test]
fn length_tests_of_the_handbooks_find_their_muscle_and_not_its_neighbour() {
    use Muscle as M;
    // Reese and Bandy, Joint Range of Motion and Muscle Length Testing, unless another source is named.
    let cases = [
        ("straight-leg raise", "hip_flexion 80 knee_extension 0", M::Hamstrings, M::GluteusMedius),
        ("Thomas", "hip_extension 10 knee_flexion 50", M::Iliopsoas, M::Hamstrings),
        ("Thomas, knee bent", "hip_extension 0 knee_flexion 90", M::RectusFemoris, M::Iliopsoas),
        ("Ely", "hip_extension 0 knee_flexion 120", M::RectusFemoris, M::Hamstrings),
        ("Ober", "hip_extension 10 hip_adduction 15 knee_flexion 90", M::TensorFasciaeLatae, M::Adductors),
        (
            "knee to wall (Bennell et al. 1998)",
            "ankle_dorsiflexion 35 knee_flexion 60",
            M::Soleus,
            M::Gastrocnemius,
        ),
        (
            "calf, knee straight",
            "ankle_dorsiflexion 15 knee_extension 0",
            M::Gastrocnemius,
            M::TibialisAnterior,
        ),
        (
            "Apley, hand up the back",
            "shoulder_extension 20 shoulder_internal_rotation 60 elbow_flexion 120",
            M::RotatorCuff,
            M::LatissimusDorsi,
        ),
        (
            "Apley, hand down the back",
            "shoulder_flexion 160 shoulder_external_rotation 60 elbow_flexion 140",
            M::Triceps,
            M::RotatorCuff,
        ),
        ("prone press-up", "trunk_extension 25", M::Abdominals, M::ErectorSpinae),
    ];
    for (test, motions, finds, spares) in cases {
        let motions = pose(motions);
        assert_eq!(judge(finds, &motions).reach, Reach::Full, "{test}: {finds}");
        assert_ne!(judge(spares, &motions).reach, Reach::Full, "{test}: {spares}");
    }
}

#[test]
fn hip_flexion_lengthens_both_glutes_and_adduction_only_the_upper() {
    // MyoSim leg model: upper fibres +50 mm and lower +102 at 90; with 30 adduction 55 and 88.
    let upper = MuscleHead::new("gluteus_maximus", "upper_fibres");
    let lower = MuscleHead::new("gluteus_maximus", "lower_fibres");
    let plain = lengthened_heads(&pose("hip_flexion 100 knee_flexion 90"));
    assert!(plain.contains(&upper) && plain.contains(&lower));
    let across = lengthened_heads(&pose("hip_flexion 100 hip_adduction 25 knee_flexion 90"));
    assert!(across.contains(&upper) && !across.contains(&lower));
}

#[test]
fn twins_are_told_apart_by_one_motion() {
    use Muscle as M;
    // Stated by the sources of the winners above.
    let cases = [
        (M::UpperTrapezius, M::LevatorScapulae, "neck_rotation_same 20"),
        (M::LevatorScapulae, M::UpperTrapezius, "neck_rotation_opposite 20"),
    ];
    for (wanted, twin, turn) in cases {
        let motions = pose(&format!("neck_flexion 30 neck_lateral_flexion_opposite 20 {turn}"));
        assert_eq!(judge(wanted, &motions).reach, Reach::Full, "{wanted}");
        assert_ne!(judge(twin, &motions).reach, Reach::Full, "{twin}");
    }
    let outer = judge(M::Obliques, &pose("trunk_lateral_flexion_opposite 20 trunk_rotation_same 20"));
    let inner = judge(M::Obliques, &pose("trunk_lateral_flexion_opposite 20 trunk_rotation_opposite 20"));
    assert_eq!((outer.group, inner.group), ("obliques_outer", "obliques_inner"));
}

#[test]
fn the_table_of_actions_is_a_closed_world() {
    for (index, action) in actions().iter().enumerate() {
        assert!(action.crosses.contains(&action.motion.joint()), "{}: {}", action.head, action.motion);
        assert!(!action.source.is_empty(), "{}", action.head);
        for other in &actions()[..index] {
            let same = other.head == action.head && other.guard == action.guard;
            assert!(!(same && other.motion == action.motion), "twice: {} {}", action.head, action.motion);
            if other.head == action.head && other.motion == action.motion.opposite() {
                assert!(action.guard.is_some() && other.guard.is_some(), "both ways: {}", action.head);
            }
        }
    }
    assert!(Guard::ALL.iter().all(|guard| actions().iter().any(|action| action.guard == Some(*guard))));
}

#[test]
fn no_form_shortens_or_leaves_out_what_it_is_for() {
    for stretch in Catalogue::built_in().stretches() {
        for form in &stretch.forms {
            let shortened = shortened_heads(&form.motions);
            for target in &form.targets {
                let found = judge(target.muscle, &form.motions);
                let wanted = if target.share == 100 { Reach::Full } else { Reach::Partial };
                assert!(found.reach >= wanted, "{}/{}: {} {found:?}", stretch.id, form.id, target.muscle);
                let whole = target.muscle.heads().iter().all(|head| shortened.contains(head));
                assert!(!whole, "{}/{} shortens {}", stretch.id, form.id, target.muscle);
            }
        }
    }
}

#[test]
fn neighbours_that_cross_two_joints_are_kept_slack() {
    use Muscle as M;
    for stretch in Catalogue::built_in().stretches() {
        for form in &stretch.forms {
            let at = |motion| form.motions.iter().find(|a| a.motion == motion).map(|a| a.degrees.get());
            let bent = at(Motion::KneeFlexion).unwrap_or(0);
            for target in form.targets.iter().filter(|target| target.share >= 80) {
                let place = format!("{}/{}: {}", stretch.id, form.id, target.muscle);
                match target.muscle {
                    // Check 4 of the sources' table: without the bent knee the neighbour stops the movement.
                    M::Soleus | M::GluteusMaximus | M::Piriformis => assert!(bent >= 20, "{place}"),
                    M::Iliopsoas => assert!(bent <= 80, "{place}"),
                    _ => {}
                }
            }
        }
    }
}

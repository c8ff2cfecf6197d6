//! The tables as diesel sees them: the same on both engines. Written to match `migrations/`; a test compares them.

diesel::table! {
    schema_level (id) {
        id -> BigInt,
        least_program -> BigInt,
    }
}

diesel::table! {
    roles (word) {
        word -> Text,
    }
}

diesel::table! {
    certification_kinds (word) {
        word -> Text,
    }
}

diesel::table! {
    session_states (word) {
        word -> Text,
    }
}

diesel::table! {
    registration_states (word) {
        word -> Text,
    }
}

diesel::table! {
    outcomes (word) {
        word -> Text,
    }
}

diesel::table! {
    act_kinds (word) {
        word -> Text,
    }
}

diesel::table! {
    machine_states (word) {
        word -> Text,
    }
}

diesel::table! {
    programs (id) {
        id -> BigInt,
        name -> Text,
        state_fips -> Text,
        county_set -> BigInt,
        time_zone -> Text,
        office_phone -> Text,
        office_email -> Text,
        demonstration -> Bool,
        settings -> Text,
        revision -> BigInt,
        last_case -> BigInt,
    }
}

diesel::table! {
    counties (county_set, fips) {
        county_set -> BigInt,
        fips -> Text,
        state_fips -> Text,
        name -> Text,
    }
}

diesel::table! {
    rulebooks (id) {
        id -> BigInt,
        kind -> Text,
        version -> BigInt,
        starts_on -> Date,
        body -> Text,
        added_at -> Timestamp,
    }
}

diesel::table! {
    rule_drafts (kind) {
        kind -> Text,
        base_version -> BigInt,
        body -> Text,
        previous -> Nullable<Text>,
        revision -> BigInt,
        started_at -> Timestamp,
        changed_at -> Timestamp,
        changed_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    consent_texts (id) {
        id -> BigInt,
        kind -> Text,
        version -> BigInt,
        language -> Text,
        body -> Text,
        shown_hash -> Text,
        sample -> Bool,
        approved_by -> Nullable<Text>,
        approved_on -> Nullable<Date>,
    }
}

diesel::table! {
    accounts (id) {
        id -> BigInt,
        reference -> Text,
        sign_in_name -> Text,
        email_confirmed_at -> Nullable<Timestamp>,
        password_hash -> Nullable<Text>,
        given_name -> Text,
        family_name -> Text,
        language -> Text,
        disabled_at -> Nullable<Timestamp>,
        created_at -> Timestamp,
        email -> Text,
        reminders_off_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    account_roles (account_id, role) {
        account_id -> BigInt,
        role -> Text,
    }
}

diesel::table! {
    sign_ins (id) {
        id -> BigInt,
        account_id -> BigInt,
        token_hash -> Binary,
        device -> Text,
        created_at -> Timestamp,
        last_seen -> Timestamp,
        ends_at -> Timestamp,
        ended_at -> Nullable<Timestamp>,
        way -> Text,
        awaits_code -> Bool,
        second_step -> Bool,
    }
}

diesel::table! {
    authenticators (account_id) {
        account_id -> BigInt,
        row_key -> Binary,
        secret -> Binary,
        last_step -> BigInt,
        created_at -> Timestamp,
    }
}

diesel::table! {
    recovery_codes (account_id, code_hash) {
        account_id -> BigInt,
        code_hash -> Binary,
        used_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    second_step_losses (account_id) {
        account_id -> BigInt,
        asked_by -> BigInt,
        asked_at -> Timestamp,
    }
}

diesel::table! {
    wrong_tries (id) {
        id -> BigInt,
        key_hash -> Binary,
        at -> Timestamp,
    }
}

diesel::table! {
    links (id) {
        id -> BigInt,
        account_id -> Nullable<BigInt>,
        purpose -> Text,
        address -> Text,
        earlier_address -> Text,
        asked_at -> Timestamp,
        used_at -> Nullable<Timestamp>,
        voided_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    link_tokens (token_hash) {
        token_hash -> Binary,
        link_id -> BigInt,
        drawn_at -> Timestamp,
    }
}

diesel::table! {
    guardians (id) {
        id -> BigInt,
        account_id -> Nullable<BigInt>,
        given_name -> Text,
        family_name -> Text,
        phone -> Text,
        email -> Nullable<Text>,
        language -> Text,
        created_at -> Timestamp,
        texts_agreed_at -> Nullable<Timestamp>,
        words -> Nullable<Text>,
    }
}

diesel::table! {
    riders (id) {
        id -> BigInt,
        reference -> Text,
        report_key -> Text,
        given_name -> Text,
        family_name -> Text,
        birth_date -> Date,
        county_set -> BigInt,
        county -> Text,
        created_at -> Timestamp,
        paper_name -> Text,
        words -> Nullable<Text>,
        compared_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    guardianships (guardian_id, rider_id) {
        guardian_id -> BigInt,
        rider_id -> BigInt,
        state -> Text,
        since -> Timestamp,
        note -> Text,
    }
}

diesel::table! {
    staff (id) {
        id -> BigInt,
        account_id -> BigInt,
        phone -> Text,
        provisional -> Bool,
        created_at -> Timestamp,
    }
}

diesel::table! {
    certifications (id) {
        id -> BigInt,
        staff_id -> BigInt,
        kind -> Text,
        issued_on -> Date,
        valid_through -> Date,
        suspended_on -> Nullable<Date>,
        revoked_on -> Nullable<Date>,
    }
}

diesel::table! {
    courses (id) {
        id -> BigInt,
        code -> Text,
        title_en -> Text,
        title_es -> Text,
        least_age -> BigInt,
        most_age -> BigInt,
        riders_per_instructor -> BigInt,
        least_age_certificate -> BigInt,
        proof_rule -> Text,
        proof_en -> Text,
        proof_es -> Text,
    }
}

diesel::table! {
    sites (id) {
        id -> BigInt,
        reference -> Text,
        name -> Text,
        street -> Text,
        city -> Text,
        zip -> Text,
        county_set -> BigInt,
        county -> Text,
        time_zone -> Text,
        latitude -> Nullable<Double>,
        longitude -> Nullable<Double>,
        most_riders -> BigInt,
        hospital -> Text,
        emergency_notes -> Text,
        directions -> Text,
    }
}

diesel::table! {
    site_paper_kinds (word) {
        word -> Text,
    }
}

diesel::table! {
    site_papers (id) {
        id -> BigInt,
        site_id -> BigInt,
        kind -> Text,
        valid_from -> Date,
        valid_through -> Date,
        taken_back_on -> Nullable<Date>,
    }
}

diesel::table! {
    emergency_plans (site_id) {
        site_id -> BigInt,
        version -> BigInt,
        signal_spot -> Text,
        device -> Text,
        gate_code -> Text,
        landing_place -> Text,
        meets_ambulance -> Text,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    point_list_kinds (word) {
        word -> Text,
    }
}

diesel::table! {
    point_lists (id) {
        id -> BigInt,
        kind -> Text,
        version -> BigInt,
        starts_on -> Date,
        body -> Text,
        added_at -> Timestamp,
    }
}

diesel::table! {
    session_point_lists (session_id, kind) {
        session_id -> BigInt,
        kind -> Text,
        point_list_id -> BigInt,
    }
}

diesel::table! {
    sessions (id) {
        id -> BigInt,
        reference -> Text,
        course_id -> BigInt,
        site_id -> BigInt,
        language -> Text,
        state -> Text,
        capacity -> BigInt,
        binding_limit -> Text,
        seats_taken -> BigInt,
        waiting -> BigInt,
        last_place -> BigInt,
        last_counter -> BigInt,
        curriculum_id -> BigInt,
        fit_id -> BigInt,
        cautions_id -> BigInt,
        held_on -> Date,
        last_on -> Date,
        created_at -> Timestamp,
        closed_at -> Nullable<Timestamp>,
        revision -> BigInt,
    }
}

diesel::table! {
    meetings (id) {
        id -> BigInt,
        session_id -> BigInt,
        ordinal -> BigInt,
        local_start -> Text,
        zone -> Text,
        minutes -> BigInt,
        starts_at -> Timestamp,
    }
}

diesel::table! {
    session_staff (session_id, staff_id) {
        session_id -> BigInt,
        staff_id -> BigInt,
        duty -> Text,
    }
}

diesel::table! {
    seat_limits (session_id) {
        session_id -> BigInt,
        site -> BigInt,
        instructors -> BigInt,
        riders_per_instructor -> BigInt,
        machines -> BigInt,
        helmets -> BigInt,
        choice -> Nullable<BigInt>,
        overbooked -> BigInt,
    }
}

diesel::table! {
    registrations (id) {
        id -> BigInt,
        reference -> Text,
        session_id -> BigInt,
        rider_id -> BigInt,
        guardian_id -> BigInt,
        state -> Text,
        place -> Nullable<BigInt>,
        held_until -> Nullable<Timestamp>,
        outcome -> Nullable<Text>,
        language -> Text,
        ridden -> Text,
        created_at -> Timestamp,
        comes_at -> Nullable<Timestamp>,
        standby -> Bool,
        together -> Bool,
    }
}

diesel::table! {
    questions (id) {
        id -> BigInt,
        kind -> Text,
        registration_id -> BigInt,
        asked_at -> Timestamp,
        answered_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    question_tokens (token_hash) {
        token_hash -> Binary,
        question_id -> BigInt,
        drawn_at -> Timestamp,
    }
}

diesel::table! {
    place_changes (id) {
        id -> BigInt,
        registration_id -> BigInt,
        state -> Text,
        reason -> Text,
        at -> Timestamp,
    }
}

diesel::table! {
    invitations (id) {
        id -> BigInt,
        reference -> Text,
        guardian_id -> BigInt,
        name -> Text,
        address -> Text,
        language -> Text,
        asked_at -> Timestamp,
        ended_at -> Nullable<Timestamp>,
        joined_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    invited_riders (invitation_id, rider_id) {
        invitation_id -> BigInt,
        rider_id -> BigInt,
    }
}

diesel::table! {
    invitation_tokens (token_hash) {
        token_hash -> Binary,
        invitation_id -> BigInt,
        drawn_at -> Timestamp,
    }
}

diesel::table! {
    moved_places (change_id) {
        change_id -> BigInt,
        from_session_id -> BigInt,
    }
}

diesel::table! {
    paper_reminders (id) {
        id -> BigInt,
        staff_id -> BigInt,
        kind -> Text,
        valid_through -> Date,
        days -> BigInt,
        at -> Timestamp,
    }
}

diesel::table! {
    reminders (id) {
        id -> BigInt,
        registration_id -> BigInt,
        kind -> Text,
        held_on -> Date,
        at -> Timestamp,
    }
}

diesel::table! {
    health_notes (registration_id) {
        registration_id -> BigInt,
        row_key -> Binary,
        body -> Binary,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    kept_health (rider_id) {
        rider_id -> BigInt,
        row_key -> Binary,
        body -> Binary,
        kept_at -> Timestamp,
    }
}

diesel::table! {
    merges (id) {
        id -> BigInt,
        stays_id -> BigInt,
        goes_id -> BigInt,
        at -> Timestamp,
        undone_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    merged_registrations (merge_id, registration_id) {
        merge_id -> BigInt,
        registration_id -> BigInt,
    }
}

diesel::table! {
    merged_measures (merge_id, measure_id) {
        merge_id -> BigInt,
        measure_id -> BigInt,
    }
}

diesel::table! {
    merged_ties (merge_id, guardian_id) {
        merge_id -> BigInt,
        guardian_id -> BigInt,
        stays_state -> Nullable<Text>,
        stays_since -> Nullable<Timestamp>,
        stays_note -> Nullable<Text>,
        goes_state -> Nullable<Text>,
        goes_since -> Nullable<Timestamp>,
        goes_note -> Nullable<Text>,
        state -> Text,
    }
}

diesel::table! {
    children_apart (one_id, other_id) {
        one_id -> BigInt,
        other_id -> BigInt,
        at -> Timestamp,
    }
}

diesel::table! {
    children_alike (one_id, other_id) {
        one_id -> BigInt,
        other_id -> BigInt,
    }
}

diesel::table! {
    voluntary_questions (id) {
        id -> BigInt,
        reference -> Text,
        words_en -> Text,
        words_es -> Text,
        choices -> Text,
        created_at -> Timestamp,
        ended_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    voluntary_answers (registration_id, question_id) {
        registration_id -> BigInt,
        question_id -> BigInt,
        choice -> Nullable<BigInt>,
    }
}

diesel::table! {
    legal_holds (id) {
        id -> BigInt,
        session_id -> BigInt,
        note -> Text,
        at -> Timestamp,
        ended_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    imports (id) {
        id -> BigInt,
        reference -> Text,
        account_id -> BigInt,
        name -> Text,
        row_key -> Binary,
        body -> Nullable<Binary>,
        meanings -> Nullable<Text>,
        day_order -> Text,
        county -> Nullable<Text>,
        made_at -> Timestamp,
        done_at -> Nullable<Timestamp>,
        undone_at -> Nullable<Timestamp>,
        families -> BigInt,
        children -> BigInt,
    }
}

diesel::table! {
    imported_riders (rider_id) {
        rider_id -> BigInt,
        import_id -> BigInt,
    }
}

diesel::table! {
    imported_guardians (guardian_id) {
        guardian_id -> BigInt,
        import_id -> BigInt,
    }
}

diesel::table! {
    import_headings (heading) {
        heading -> Text,
        meaning -> Text,
    }
}

diesel::table! {
    deletions (id) {
        id -> BigInt,
        reference -> Text,
        account_id -> BigInt,
        asked_at -> Timestamp,
        ended_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    proofs (registration_id) {
        registration_id -> BigInt,
        answer -> Nullable<Text>,
        seen_at -> Nullable<Timestamp>,
        seen_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    contacts (id) {
        id -> BigInt,
        registration_id -> BigInt,
        ordinal -> BigInt,
        kind -> Text,
        name -> Text,
        phone -> Text,
    }
}

diesel::table! {
    measures (id) {
        id -> BigInt,
        rider_id -> BigInt,
        registration_id -> Nullable<BigInt>,
        measured_by -> Text,
        taken_on -> Date,
        height_um -> Nullable<BigInt>,
        weight_g -> Nullable<BigInt>,
        inseam_um -> Nullable<BigInt>,
        reach_um -> Nullable<BigInt>,
        hand_um -> Nullable<BigInt>,
        foot_um -> Nullable<BigInt>,
        head_um -> Nullable<BigInt>,
    }
}

diesel::table! {
    consents (id) {
        id -> BigInt,
        registration_id -> BigInt,
        guardian_id -> BigInt,
        text_id -> BigInt,
        signed_name -> Text,
        ticks -> Text,
        shown_hash -> Text,
        signed_at -> Timestamp,
        zone -> Text,
        withdrawn_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    drafts (id) {
        id -> BigInt,
        owner -> Binary,
        session_id -> BigInt,
        row_key -> Binary,
        body -> Binary,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    request_keys (id) {
        id -> BigInt,
        owner -> Binary,
        request_key -> Text,
        digest -> Binary,
        answer -> Text,
        created_at -> Timestamp,
    }
}

diesel::table! {
    storage_places (id) {
        id -> BigInt,
        name -> Text,
        kind -> Text,
    }
}

diesel::table! {
    machine_defects (id) {
        id -> BigInt,
        machine_id -> BigInt,
        ordinal -> BigInt,
        what -> Text,
        found_at -> Nullable<Timestamp>,
        found_by -> Nullable<BigInt>,
        mended_at -> Nullable<Timestamp>,
        mended_by -> Nullable<BigInt>,
        note -> Text,
        by_mistake -> Bool,
    }
}

diesel::table! {
    machine_events (id) {
        id -> BigInt,
        machine_id -> BigInt,
        kind -> Text,
        detail -> Text,
        at -> Timestamp,
        account_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    machines (id) {
        id -> BigInt,
        number -> Text,
        make_model -> Text,
        category -> Text,
        built_on -> Date,
        engine_cc_tenths -> BigInt,
        dry_weight_g -> BigInt,
        seat_height_um -> BigInt,
        seat_to_rest_um -> BigInt,
        limiter_tenths_mph -> Nullable<BigInt>,
        state -> Text,
        reference -> Text,
        serial -> Text,
        seats -> Nullable<Text>,
        label -> Text,
        limiter_set_on -> Nullable<Date>,
        limiter_set_by -> Text,
        tire_front_tenths_psi -> Nullable<BigInt>,
        tire_rear_tenths_psi -> Nullable<BigInt>,
        grip_to_lever_um -> Nullable<BigInt>,
        rest_to_pedal_um -> Nullable<BigInt>,
        hours_tenths -> Nullable<BigInt>,
        place_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    acts (id) {
        id -> BigInt,
        act_id -> Binary,
        session_id -> BigInt,
        meeting -> BigInt,
        registration_id -> Nullable<BigInt>,
        device -> Text,
        seq -> BigInt,
        counter -> BigInt,
        seen -> BigInt,
        kind -> Text,
        body -> Text,
        at -> Timestamp,
        received_at -> Timestamp,
        account_id -> BigInt,
        by_lead -> Bool,
        standing -> Text,
    }
}

diesel::table! {
    grants (id) {
        id -> BigInt,
        reference -> Text,
        code -> Text,
        name -> Text,
        starts_on -> Date,
        ends_on -> Date,
        helmets_target -> BigInt,
        payer -> Text,
        award -> Text,
        title_holder -> Text,
        federal_permille -> Nullable<BigInt>,
        budget_cents -> Nullable<BigInt>,
        match_cents -> Nullable<BigInt>,
        hour_cents -> Nullable<BigInt>,
        mile_tenth_cents -> Nullable<BigInt>,
        least_age -> Nullable<BigInt>,
        most_age -> Nullable<BigInt>,
        again_after_years -> Nullable<BigInt>,
    }
}

diesel::table! {
    grant_counties (grant_id, county_set, county) {
        grant_id -> BigInt,
        county_set -> BigInt,
        county -> Text,
    }
}

diesel::table! {
    grant_dues (id) {
        id -> BigInt,
        grant_id -> BigInt,
        due_on -> Date,
        what -> Text,
        done_on -> Nullable<Date>,
    }
}

diesel::table! {
    grant_matches (id) {
        id -> BigInt,
        grant_id -> BigInt,
        kind -> Text,
        done_on -> Date,
        tenths -> BigInt,
        worth_cents -> BigInt,
        what -> Text,
        at -> Timestamp,
        account_id -> Nullable<BigInt>,
        taken_back_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    gear_lots (id) {
        id -> BigInt,
        reference -> Text,
        code -> Text,
        grant_id -> BigInt,
        model -> Text,
        size_label -> Text,
        least_head_um -> BigInt,
        most_head_um -> BigInt,
        standard -> Text,
        made_month -> Date,
        unit_cost_cents -> BigInt,
        received -> BigInt,
        received_on -> Nullable<Date>,
    }
}

diesel::table! {
    gear_stock (lot_id, place_id) {
        lot_id -> BigInt,
        place_id -> BigInt,
        count -> BigInt,
    }
}

diesel::table! {
    gear_loads (session_id, lot_id) {
        session_id -> BigInt,
        lot_id -> BigInt,
        count -> BigInt,
    }
}

diesel::table! {
    gear_issues (id) {
        id -> BigInt,
        lot_id -> BigInt,
        registration_id -> BigInt,
        act_id -> Binary,
        way -> Text,
        issued_at -> Timestamp,
        place_id -> Nullable<BigInt>,
        returned_at -> Nullable<Timestamp>,
        came_back -> Nullable<Text>,
    }
}

diesel::table! {
    gear_moves (id) {
        id -> BigInt,
        lot_id -> BigInt,
        kind -> Text,
        count -> BigInt,
        from_place_id -> Nullable<BigInt>,
        to_place_id -> Nullable<BigInt>,
        session_id -> Nullable<BigInt>,
        note -> Text,
        at -> Nullable<Timestamp>,
        account_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    gear_recalls (id) {
        id -> BigInt,
        reference -> Text,
        model -> Text,
        lot_id -> Nullable<BigInt>,
        why -> Text,
        source -> Text,
        started_at -> Timestamp,
        started_by -> Nullable<BigInt>,
        ended_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    recall_holders (id) {
        id -> BigInt,
        recall_id -> BigInt,
        issue_id -> BigInt,
        answer -> Nullable<Text>,
        answered_at -> Nullable<Timestamp>,
        answered_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    files (id) {
        id -> BigInt,
        reference -> Text,
        kind -> Text,
        media -> Text,
        row_key -> Binary,
        body -> Binary,
        created_at -> Timestamp,
    }
}

diesel::table! {
    certificates (id) {
        id -> BigInt,
        code -> Text,
        registration_id -> BigInt,
        rider_name -> Text,
        completed_on -> Date,
        valid_from -> Date,
        lead_name -> Text,
        language -> Text,
        file_id -> Nullable<BigInt>,
        issued_at -> Timestamp,
        revoked_at -> Nullable<Timestamp>,
        revoked_why -> Nullable<Text>,
    }
}

diesel::table! {
    session_facts (session_id) {
        session_id -> BigInt,
        held_on -> Date,
        county_set -> BigInt,
        site_county -> Text,
        course_id -> BigInt,
        language -> Text,
    }
}

diesel::table! {
    rider_facts (id) {
        id -> BigInt,
        session_id -> BigInt,
        registration_ref -> Text,
        rider_key -> Text,
        held_on -> Date,
        county_set -> BigInt,
        site_county -> Text,
        home_county -> Text,
        course_id -> BigInt,
        outcome -> Text,
        participated -> BigInt,
        completed -> BigInt,
        helmets -> BigInt,
        grant_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    month_sums (month, county_set, site_county, home_county, course_id) {
        month -> Date,
        county_set -> BigInt,
        site_county -> Text,
        home_county -> Text,
        course_id -> BigInt,
        participations -> BigInt,
        completions -> BigInt,
        helmets -> BigInt,
    }
}

diesel::table! {
    audit_rows (id) {
        id -> BigInt,
        at -> Timestamp,
        account_id -> Nullable<BigInt>,
        action -> Text,
        subject -> Text,
        request_id -> Text,
        detail -> Text,
        row_hash -> Text,
    }
}

diesel::table! {
    audit_seals (id) {
        id -> BigInt,
        first_row -> BigInt,
        last_row -> BigInt,
        rows_sealed -> BigInt,
        previous_head -> Text,
        head -> Text,
        sealed_at -> Timestamp,
        marks -> Text,
    }
}

diesel::table! {
    outbox (id) {
        id -> BigInt,
        message_id -> Text,
        kind -> Text,
        subject_id -> BigInt,
        account_id -> BigInt,
        language -> Text,
        state -> Text,
        tries -> BigInt,
        due_at -> Timestamp,
        leased_until -> Nullable<Timestamp>,
        leased_by -> Nullable<Text>,
        created_at -> Timestamp,
        sent_at -> Nullable<Timestamp>,
        fault -> Nullable<Text>,
    }
}

diesel::table! {
    job_leases (name) {
        name -> Text,
        holder -> Text,
        leased_until -> Timestamp,
    }
}

diesel::table! {
    change_reasons (word) {
        word -> Text,
    }
}

diesel::table! {
    session_changes (id) {
        id -> BigInt,
        session_id -> BigInt,
        sequence -> BigInt,
        kind -> Text,
        reason -> Text,
        words -> Text,
        words_language -> Text,
        earlier -> Text,
        account_id -> Nullable<BigInt>,
        at -> Timestamp,
    }
}

diesel::table! {
    tellings (id) {
        id -> BigInt,
        change_id -> BigInt,
        guardian_id -> Nullable<BigInt>,
        staff_id -> Nullable<BigInt>,
        outbox_id -> Nullable<BigInt>,
        called_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    texts (id) {
        id -> BigInt,
        kind -> Text,
        guardian_id -> BigInt,
        phone -> Text,
        session_id -> BigInt,
        held_on -> Date,
        registration_id -> Nullable<BigInt>,
        telling_id -> Nullable<BigInt>,
        language -> Text,
        state -> Text,
        tries -> BigInt,
        due_at -> Timestamp,
        leased_until -> Nullable<Timestamp>,
        leased_by -> Nullable<Text>,
        handed_at -> Nullable<Timestamp>,
        created_at -> Timestamp,
        ended_at -> Nullable<Timestamp>,
        fault -> Nullable<Text>,
    }
}

diesel::table! {
    patterns (id) {
        id -> BigInt,
        reference -> Text,
        name -> Text,
        course_id -> BigInt,
        site_id -> BigInt,
        language -> Text,
        choice -> Nullable<BigInt>,
        created_at -> Timestamp,
    }
}

diesel::table! {
    pattern_meetings (pattern_id, ordinal) {
        pattern_id -> BigInt,
        ordinal -> BigInt,
        day -> BigInt,
        starts -> Text,
        minutes -> BigInt,
    }
}

diesel::table! {
    pattern_staff (pattern_id, staff_id) {
        pattern_id -> BigInt,
        staff_id -> BigInt,
        duty -> Text,
    }
}

diesel::table! {
    session_machines (session_id, machine_id) {
        session_id -> BigInt,
        machine_id -> BigInt,
    }
}

diesel::table! {
    pattern_sessions (session_id) {
        session_id -> BigInt,
        pattern_id -> BigInt,
    }
}

diesel::table! {
    incidents (id) {
        id -> BigInt,
        reference -> Text,
        case_number -> BigInt,
        session_id -> BigInt,
        registration_id -> Nullable<BigInt>,
        defect_id -> Nullable<BigInt>,
        kind -> Text,
        ambulance -> Bool,
        row_key -> Binary,
        body -> Binary,
        happened_on -> Date,
        learned_at -> Timestamp,
        opened_by -> BigInt,
        signed_at -> Nullable<Timestamp>,
        signed_by -> Nullable<BigInt>,
        closed_at -> Nullable<Timestamp>,
        closed_by -> Nullable<BigInt>,
        insurer_told_at -> Nullable<Timestamp>,
        insurer_told_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    incident_addenda (id) {
        id -> BigInt,
        incident_id -> BigInt,
        row_key -> Binary,
        body -> Binary,
        at -> Timestamp,
        account_id -> BigInt,
    }
}

diesel::table! {
    incident_photos (id) {
        id -> BigInt,
        incident_id -> BigInt,
        ordinal -> BigInt,
        file_id -> BigInt,
        at -> Timestamp,
        account_id -> BigInt,
    }
}

diesel::table! {
    concern_readers (account_id) {
        account_id -> BigInt,
        since -> Timestamp,
    }
}

diesel::table! {
    concerns (id) {
        id -> BigInt,
        reference -> Text,
        about_staff_id -> Nullable<BigInt>,
        row_key -> Binary,
        body -> Binary,
        written_at -> Timestamp,
        written_by -> BigInt,
        settled_at -> Nullable<Timestamp>,
        settled_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    concern_notes (id) {
        id -> BigInt,
        concern_id -> BigInt,
        row_key -> Binary,
        body -> Binary,
        at -> Timestamp,
        account_id -> BigInt,
    }
}

diesel::table! {
    staff_absences (id) {
        id -> BigInt,
        staff_id -> BigInt,
        from_on -> Date,
        through_on -> Date,
        at -> Timestamp,
    }
}

diesel::table! {
    rule_reviews (book) {
        book -> Text,
        looked_on -> Date,
        account_id -> BigInt,
    }
}

diesel::joinable!(session_machines -> machines (machine_id));
diesel::joinable!(session_machines -> sessions (session_id));
diesel::joinable!(session_point_lists -> point_lists (point_list_id));
diesel::joinable!(session_point_lists -> sessions (session_id));
diesel::joinable!(account_roles -> accounts (account_id));
diesel::joinable!(sign_ins -> accounts (account_id));
diesel::joinable!(link_tokens -> links (link_id));
diesel::joinable!(guardians -> accounts (account_id));
diesel::joinable!(guardianships -> guardians (guardian_id));
diesel::joinable!(guardianships -> riders (rider_id));
diesel::joinable!(staff -> accounts (account_id));
diesel::joinable!(certifications -> staff (staff_id));
diesel::joinable!(sessions -> courses (course_id));
diesel::joinable!(sessions -> sites (site_id));
diesel::joinable!(meetings -> sessions (session_id));
diesel::joinable!(session_staff -> sessions (session_id));
diesel::joinable!(session_staff -> staff (staff_id));
diesel::joinable!(seat_limits -> sessions (session_id));
diesel::joinable!(registrations -> sessions (session_id));
diesel::joinable!(registrations -> riders (rider_id));
diesel::joinable!(registrations -> guardians (guardian_id));
diesel::joinable!(questions -> registrations (registration_id));
diesel::joinable!(machines -> storage_places (place_id));
diesel::joinable!(machine_events -> accounts (account_id));
diesel::joinable!(question_tokens -> questions (question_id));
diesel::joinable!(invited_riders -> invitations (invitation_id));
diesel::joinable!(invited_riders -> riders (rider_id));
diesel::joinable!(invitation_tokens -> invitations (invitation_id));
diesel::joinable!(place_changes -> registrations (registration_id));
diesel::joinable!(moved_places -> place_changes (change_id));
diesel::joinable!(moved_places -> sessions (from_session_id));
diesel::joinable!(reminders -> registrations (registration_id));
diesel::joinable!(health_notes -> registrations (registration_id));
diesel::joinable!(kept_health -> riders (rider_id));
diesel::joinable!(contacts -> registrations (registration_id));
diesel::joinable!(proofs -> registrations (registration_id));
diesel::joinable!(measures -> riders (rider_id));
diesel::joinable!(measures -> registrations (registration_id));
diesel::joinable!(consents -> registrations (registration_id));
diesel::joinable!(consents -> guardians (guardian_id));
diesel::joinable!(consents -> consent_texts (text_id));
diesel::joinable!(drafts -> sessions (session_id));
diesel::joinable!(acts -> sessions (session_id));
diesel::joinable!(acts -> registrations (registration_id));
diesel::joinable!(acts -> accounts (account_id));
diesel::joinable!(gear_lots -> grants (grant_id));
diesel::joinable!(gear_issues -> gear_lots (lot_id));
diesel::joinable!(gear_issues -> registrations (registration_id));
diesel::joinable!(gear_stock -> gear_lots (lot_id));
diesel::joinable!(gear_stock -> storage_places (place_id));
diesel::joinable!(gear_loads -> gear_lots (lot_id));
diesel::joinable!(gear_loads -> sessions (session_id));
diesel::joinable!(gear_moves -> gear_lots (lot_id));
diesel::joinable!(gear_recalls -> gear_lots (lot_id));
diesel::joinable!(recall_holders -> gear_recalls (recall_id));
diesel::joinable!(recall_holders -> gear_issues (issue_id));
diesel::joinable!(grant_counties -> grants (grant_id));
diesel::joinable!(grant_dues -> grants (grant_id));
diesel::joinable!(grant_matches -> grants (grant_id));
diesel::joinable!(certificates -> registrations (registration_id));
diesel::joinable!(certificates -> files (file_id));
diesel::joinable!(session_facts -> sessions (session_id));
diesel::joinable!(rider_facts -> sessions (session_id));
diesel::joinable!(rider_facts -> grants (grant_id));
diesel::joinable!(outbox -> accounts (account_id));
diesel::joinable!(session_changes -> sessions (session_id));
diesel::joinable!(tellings -> session_changes (change_id));
diesel::joinable!(tellings -> guardians (guardian_id));
diesel::joinable!(tellings -> outbox (outbox_id));
diesel::joinable!(texts -> guardians (guardian_id));
diesel::joinable!(texts -> sessions (session_id));
diesel::joinable!(texts -> tellings (telling_id));
diesel::joinable!(patterns -> courses (course_id));
diesel::joinable!(patterns -> sites (site_id));
diesel::joinable!(pattern_meetings -> patterns (pattern_id));
diesel::joinable!(pattern_staff -> patterns (pattern_id));
diesel::joinable!(pattern_staff -> staff (staff_id));
diesel::joinable!(pattern_sessions -> patterns (pattern_id));
diesel::joinable!(pattern_sessions -> sessions (session_id));

diesel::allow_tables_to_appear_in_same_query!(
    schema_level,
    roles,
    certification_kinds,
    session_states,
    registration_states,
    outcomes,
    act_kinds,
    machine_states,
    programs,
    counties,
    rulebooks,
    rule_drafts,
    consent_texts,
    accounts,
    account_roles,
    sign_ins,
    authenticators,
    recovery_codes,
    second_step_losses,
    wrong_tries,
    links,
    link_tokens,
    guardians,
    riders,
    guardianships,
    staff,
    certifications,
    courses,
    sites,
    site_paper_kinds,
    site_papers,
    emergency_plans,
    point_list_kinds,
    point_lists,
    session_point_lists,
    session_machines,
    sessions,
    meetings,
    session_staff,
    seat_limits,
    registrations,
    questions,
    question_tokens,
    invitations,
    invited_riders,
    invitation_tokens,
    place_changes,
    moved_places,
    paper_reminders,
    reminders,
    health_notes,
    contacts,
    kept_health,
    merges,
    merged_registrations,
    merged_measures,
    merged_ties,
    children_alike,
    children_apart,
    voluntary_questions,
    voluntary_answers,
    legal_holds,
    deletions,
    imports,
    imported_riders,
    imported_guardians,
    import_headings,
    proofs,
    measures,
    consents,
    drafts,
    request_keys,
    machines,
    storage_places,
    machine_defects,
    machine_events,
    acts,
    incidents,
    incident_addenda,
    incident_photos,
    concern_readers,
    concerns,
    concern_notes,
    staff_absences,
    rule_reviews,
    grants,
    gear_lots,
    gear_stock,
    gear_loads,
    gear_issues,
    gear_moves,
    gear_recalls,
    recall_holders,
    grant_counties,
    grant_dues,
    grant_matches,
    files,
    certificates,
    session_facts,
    rider_facts,
    month_sums,
    audit_rows,
    audit_seals,
    outbox,
    job_leases,
    change_reasons,
    session_changes,
    tellings,
    texts,
    patterns,
    pattern_meetings,
    pattern_staff,
    pattern_sessions,
);

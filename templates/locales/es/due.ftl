# Lo pendiente, en la primera página de una familia.
due-title = Pendiente para hoy
due-family-off = Canceladas
due-family-next = Las próximas sesiones de sus hijos
due-family-certificates = Certificados listos
due-family-nothing = Hoy no hay nada pendiente.
due-family-nothing-next = La próxima sesión de { $name } es el { $day }. Ya está todo lo necesario.
due-family-none = Sus hijos no tienen una sesión próxima. Busque una cerca de casa.
due-family-missing = falta algo
due-family-whole = está todo
due-family-consent = Falta firmar el permiso de { $name }. Llame a la oficina, o fírmelo con el personal ese día.
due-family-proof-needed = Todavía falta el comprobante de { $part }. Nadie empieza antes de que el personal lo vea.
due-family-proof = Nadie ha visto todavía el comprobante de { $part }. Tráigalo ese día.
due-family-adult = Solo usted puede llevarse a { $name }. Venga usted mismo ese día.
due-family-adults = Ese día, { $name } se va con usted o con: { $adults }.
due-family-certificate = { $name }, { $day }
due-family-ready = listo
due-family-note = Todas las inscripciones y los certificados de sus hijos están en Mis inscripciones.

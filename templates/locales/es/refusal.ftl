# Por qué la respuesta es no, y qué ayuda.
refusal-next = Vuelva atrás. Lo que escribió sigue ahí. Cámbielo o llame a la oficina.
refusal-sign-in-failed = Esta dirección y esta contraseña no van juntas.
refusal-too-many-tries = Hubo demasiados intentos. Espere { $minutes } minutos y pruebe otra vez.
refusal-code-wrong = Este código no es correcto, o ya se usó. Tome el más nuevo.
refusal-password-wrong = Esta no es su contraseña de ahora.
refusal-link-over = Ya se usó, hay uno más nuevo, o tiene más de 30 minutos.
refusal-last-administrator = Es la única cuenta abierta de un administrador. Abra o agregue otra primero.
refusal-asked-by-yourself = Usted mismo avisó de la pérdida. Debe estar de acuerdo otro administrador.
refusal-has-administrator = El programa ya tiene un administrador.
refusal-only-in-demo = Esto solo está abierto en una demostración.
refusal-too-young = El niño debe tener { $least } años o más el { $day }. Busque un curso para más pequeños.
refusal-too-old = Este curso es para niños de hasta { $most } años el { $day }. Busque otro curso.
refusal-two-sessions-at-once = Este niño tiene un lugar en { $site } el { $day }, a la misma hora.
refusal-nobody-decides = Nadie puede decidir ahora por este niño. Llame a la familia y busque al niño en Familias.
refusal-only-adult = Nadie más responde aquí por este niño. Pida primero a otro adulto que responda, o llame a la oficina.
refusal-took-part = El niño ya participó en una sesión. Llame a la oficina para cambiar la fecha de nacimiento.
refusal-office-decides = Esto lo decide la oficina. Llame, por favor.
refusal-both-in-session = Las dos fichas tienen un lugar en { $site } el { $day }, o participaron allí. Deje primero uno de los dos lugares. Si las dos participaron, son dos niños.
refusal-stays-with-other = En { $site } el { $day } el lugar es de la otra ficha. Conserve esa, o deje primero su lugar.
refusal-address-not-shown = Confirme primero su propia dirección. Abra el enlace de nuestra carta.
refusal-too-many-invitations = Ya ha invitado hoy a cinco personas. Vuelva a hacerlo mañana, o llame a la oficina.
refusal-no-seat-there = Esa sesión ya no tiene lugar para este niño. El lugar de aquí sigue como estaba.
refusal-no-seat-free = No hay lugar libre en esta sesión. Deje antes otro lugar, o pase a un niño.
refusal-already-registered = Este niño ya tiene un lugar en esta sesión.
refusal-session-takes-no-registrations = La sesión del { $day } ya no acepta inscripciones. Elija otro día.
refusal-answer-too-late = Esto ya fue contestado, o el tiempo para contestar se acabó. Si tiene cuenta, entre para ver cómo está el lugar.
refusal-consent-not-approved = La inscripción aún no está abierta. El texto de permiso espera aprobación.
refusal-consent-changed = El texto de permiso cambió mientras leía. Lea el nuevo texto y firme otra vez.
refusal-step-missing = Falta una respuesta de un paso anterior. Vuelva primero a ese paso.
refusal-paper-taken-back = Este documento se retiró para siempre. Agregue el nuevo a su lado.
refusal-key-reused = Este formulario ya se envió con otras respuestas. Ábralo de nuevo y envíelo una vez.
refusal-lead-not-valid = { $name } no puede dirigir el { $day }. Estos documentos no valen ese día: { $papers }.
refusal-staff-not-valid = { $name } no puede estar en el equipo el { $day }. Estos documentos no valen ese día: { $papers }.
refusal-site-not-ready = No puede haber sesión en { $site } el { $day }. Estos documentos del sitio no valen ese día: { $papers }.
refusal-not-yet-a-lead = { $name } enseña junto a quien dirige y todavía no puede dirigir. Elija a otra persona.
refusal-second-adult-needed = Nunca un adulto solo con niños. Añada a un segundo adulto al equipo.
refusal-first-aider-needed = Nadie del equipo tiene un carné de primeros auxilios que valga el { $day }. Añada a alguien que lo tenga.
refusal-machine-retired = La máquina { $number } ya no es parte del grupo.
refusal-machine-goes-elsewhere = La máquina { $number } va a { $site } el { $day }. Quítela aquí, o primero quítela allá.
refusal-meter-runs-back = El contador marcaba { $hours } horas antes. Léalo otra vez, o diga que es un contador nuevo.
refusal-code-taken = { $code } ya está en uso. Escriba otro.
refusal-day-is-over = El { $day } ya pasó. Elija un día por venir.
refusal-no-seats-site = La sesión no tendría lugares: el sitio no admite a nadie.
refusal-no-seats-staff = La sesión no tendría lugares: no hay instructor certificado.
refusal-no-seats-machines = La sesión no tendría lugares: no hay máquina en uso.
refusal-no-seats-helmets = La sesión no tendría lugares: no hay cascos.
refusal-no-seats-choice = La sesión no tendría lugares: usted no eligió ninguno.
refusal-meetings-not-in-order = Cada encuentro necesita su propio día, después del anterior. El { $day } no sirve.
refusal-no-such-time = Esa hora no existe el { $day }, porque se adelanta el reloj. Elija otra hora.
refusal-day-to-come = El { $day } todavía no llega. Escriba un día que ya pasó.
refusal-already-approved = Alguien ya registró la aprobación de este texto.
refusal-draft-moved = Esto se cambió en otra ventana después de que usted lo abrió. Sus respuestas siguen abajo. Lea lo que dice ahora y guarde otra vez.
refusal-site-taken = { $site } tiene otra sesión a esa hora el { $day }. Elija otra hora u otro sitio.
refusal-person-planned-twice = { $name } ya está en { $site } el { $day }. Elija a otra persona u otro día.
refusal-pattern-name-taken = Ya hay un modelo con el nombre { $name }. Elija otro nombre.
refusal-session-not-open = Esta sesión está cerrada, cancelada o ya pasó. Ya no se puede cambiar.
refusal-session-has-begun = Ya se registró la llegada de un niño. Cierre la sesión al final del día.
refusal-session-changed = Alguien cambió esta sesión después de que usted abrió la página. Mírela como está ahora y decida.
refusal-seats-taken-site = Hay { $taken } lugares ocupados, pero el sitio dejaría solo { $seats }. Elija un sitio más grande.
refusal-seats-taken-staff = Hay { $taken } lugares ocupados, pero los instructores dejarían solo { $seats }. Agregue primero un instructor.
refusal-seats-taken-machines = Hay { $taken } lugares ocupados, pero las máquinas de ese día dejarían solo { $seats }. Elija otro día.
refusal-seats-taken-helmets = Hay { $taken } lugares ocupados, pero los cascos dejarían solo { $seats }. Agregue primero cascos.
refusal-seats-taken-choice = Ya hay { $taken } lugares ocupados. No puede querer solo { $seats }.
refusal-riders-too-young = Algunos niños tendrían menos de { $least } años ese día: { $names }. Elija un día más tarde.
refusal-nothing-moves = El día, la hora y el sitio son los que ya valen. Cambie uno de ellos.
refusal-riders-are-registered = Hay familias inscritas. Cambie la sesión de fecha o lugar, para que se les avise.
refusal-no-lead = Nadie dirige esta sesión. Elija primero a quien dirija.
refusal-session-takes-no-acts = Esta sesión no acepta datos ahora. No ha empezado o está cerrada.
refusal-meeting-to-come = Ese encuentro es el { $day }. Antes de ese día no se anota nada.
refusal-last-meeting-to-come = La sesión todavía no se puede cerrar. Su último encuentro es el { $day }.
refusal-proof-missing = El niño no empieza. Nadie ha visto el comprobante de la parte anterior que este curso pide.
refusal-no-proof-asked = Este curso no pide comprobante de una parte anterior.
refusal-rider-not-here = Este niño no está registrado como presente. Regístrelo primero.
refusal-no-seat = Este niño no tiene lugar en esta sesión.
refusal-no-consent = No hay permiso firmado vigente. Un responsable debe firmar primero.
refusal-went-home = { $given } ya salió, por eso no se anotó nada. Si { $given } volvió, registre la llegada en su propia página.
refusal-gear-missing = El niño no empieza. Falta: { $pieces }.
refusal-no-fit = El niño no empieza. Ninguna prueba de ajuste le permite montar todavía.
refusal-machine-out-of-use = La máquina { $number } está fuera de uso. El niño se baja y prueba otra.
refusal-machine-not-looked-over = Primero revise la máquina { $number }. Hoy nadie la ha revisado.
refusal-too-many-riders =
    Paren de conducir: { $riders ->
        [one] 1 niño
       *[other] { $riders } niños
    }, { $instructors ->
        [0] ningún instructor que cuente
        [one] 1 instructor
       *[other] { $instructors } instructores
    }. Con un niño de { $youngest } años aquí pueden enseñar a { $most }. Otro instructor entra en la zona, o quien dirige escribe por qué se sigue.
refusal-adult-alone =
    Paren de conducir: { $riders ->
        [one] 1 niño
       *[other] { $riders } niños
    }, { $adults ->
        [0] ningún adulto que cuente
       *[other] 1 adulto solo
    } en la zona. Un segundo adulto entra en la zona, o quien dirige escribe por qué se sigue.
refusal-no-first-aider =
    Paren de conducir: { $riders ->
        [one] 1 niño
       *[other] { $riders } niños
    }, nadie con primeros auxilios. Alguien cuyo carné valga hoy entra en la zona, o quien dirige escribe por qué se sigue.
refusal-nothing-to-go-on = La regla de la zona se cumple. Nada necesita un motivo.
refusal-leads-already = { $name } ya dirige esta sesión.
refusal-day-list-not-signed = Nadie maneja todavía. La lista del día no está firmada. Abra la lista del día, mire cada punto y después firma quien dirige.
refusal-day-list-open = Nadie maneja. No está bien en la lista del día: { $points }. Arréglelo y mire otra vez; después quien dirige firma la lista de nuevo.
refusal-day-list-not-looked = Mire primero estos puntos de la lista del día: { $points }. Después firma quien dirige.
refusal-day-list-changed = Esta sesión tiene otra lista del día. Abra la página de nuevo y mire cada punto.
refusal-emergency-plan-missing = Este sitio no tiene plan de emergencia. Llame a la oficina: lo escribe en la página del sitio. Después quien dirige lo lee y firma.
refusal-emergency-plan-changed = El plan de emergencia cambió mientras leía. Léalo otra vez y después firme.
refusal-group-full = Este grupo está lleno: { $most } niños como máximo. Elija otro grupo.
refusal-note-needed = Escriba una nota que diga por qué.
refusal-only-the-lead = Solo quien dirige esta sesión puede hacer esto.
refusal-mandatory-stands = Un punto obligatorio de la revisión de ajuste nunca se pasa por alto.
refusal-adult-needed = Escriba el nombre del adulto que se lleva al niño.
refusal-not-released = No deje ir al niño. La lista de la familia dice: no entregar a { $name }. Si es otra persona, escriba el nombre completo. Si no, llame al responsable.
refusal-no-helmet-left = No queda ningún casco de este tipo. Elija otro.
refusal-helmet-size = Este casco no es de esa talla de cabeza. Elija otra talla.
refusal-helmet-too-old = Este casco es más viejo de lo que permite el programa. Elija otro.
refusal-helmet-made-to-come = Este mes todavía no llega. Escriba el mes de la etiqueta dentro del casco.
refusal-helmet-already = Este niño ya tiene un casco de esta sesión.
refusal-helmet-not-theirs = Este niño no tiene ese casco de esta sesión. Vea otra vez cuál es.
refusal-helmet-back-already = Este casco ya fue devuelto.
refusal-helmet-not-checked = Nadie ha revisado el casco que lleva este niño. Revíselo antes de que empiece.
refusal-helmet-not-right = El casco que lleva este niño no está bien. Cámbielo y revíselo otra vez antes de que empiece.
refusal-helmet-recalled = Los cascos de este lote están retirados. No entregue ninguno y que nadie lo use.
refusal-grant-period = Hoy está fuera del plazo de la subvención que pagó este casco. Elija otro lote o préstelo.
refusal-grant-too-young = La subvención que pagó este casco es para niños desde los { $least } años. Elija otro lote o préstelo.
refusal-grant-too-old = La subvención que pagó este casco es para niños de hasta { $most } años. Elija otro lote o préstelo.
refusal-grant-other-county = La subvención que pagó este casco es para niños de otros condados. Elija otro lote o préstelo.
refusal-grant-had-one = Este niño recibió un casco el { $day }. La subvención da otro a partir del { $again }. Elija otro lote o préstelo.
refusal-recall-stands = Estos cascos ya están retirados. Abra ese retiro.
refusal-match-no-rate = La subvención no dice cuánto vale esto. Escriba primero la tarifa en su ficha.
refusal-helmets-short = { $left ->
    [0] No hay ningún casco de este lote.
    [one] Solo hay un casco de este lote.
   *[other] Solo hay { $left } cascos de este lote.
} Escriba un número menor o elija otro lugar.
refusal-world-moved = Alguien anotó algo más nuevo sobre este niño. Mírelo y luego decida.
refusal-undo-too-late = Ya pasó el tiempo para deshacer esto. Queda en el historial. Anote lo correcto.
refusal-undo-not-yours = Solo la persona que anotó esto puede deshacerlo. Anote lo correcto.
refusal-children-not-home = La sesión no puede cerrar. Estos niños no han sido entregados: { $names }.
refusal-outcomes-missing = La sesión no puede cerrar. Falta el resultado del día de: { $names }.
refusal-name-cannot-be-set = El certificado no puede imprimir el nombre { $name }. Faltan estas letras: { $characters }.
refusal-already-closed = Esta sesión ya está cerrada.
refusal-not-closed = Esta sesión no está cerrada, así que no hay nada que reabrir.
refusal-already-revoked = Este certificado ya está anulado.
refusal-county-unknown = No hay condado con ese nombre o código en este estado.
refusal-county-ambiguous = Más de un condado tiene ese nombre. Escriba uno de estos: { $labels }.
refusal-mark-unknown-check = Esta prueba no es parte del programa de la sesión.
refusal-mark-whole-lesson = Esta lección se marca prueba por prueba, no entera.
refusal-mark-lesson-first = La lección { $lesson } va primero. Sus pruebas obligatorias aún no se cumplen.
refusal-mark-before-wheels = La prueba { $check } debe cumplirse antes de que gire una rueda.
refusal-mark-only-lead-clears = Solo quien dirige puede levantar un alto de seguridad.
refusal-mark-reason-needed = Escriba por qué se levanta el alto de seguridad.
refusal-mark-must-name-stop = Nombre el alto de seguridad que esta marca levanta.

refusal-weather-thunder = Truenos o relámpagos. Todos abajo de las máquinas y dentro de un edificio o de un auto con techo duro. Nadie conduce antes de las { $until }. Cada trueno nuevo reinicia la espera.
refusal-weather-numbers = Nadie conduce con este tiempo: { $numbers }. Mídalo otra vez cuando cambie.
refusal-weather-called = El líder detuvo la conducción por el tiempo: { $why }
refusal-weather-nothing-called = No hay una detención del líder que levantar. Los límites y el reloj de truenos se levantan solos.
weather-heat = índice de calor { $number } °F, límite { $limit } °F
weather-chill = sensación térmica { $number } °F, límite { $limit } °F
weather-gusts = viento o ráfagas de { $number } mph, límite { $limit } mph
weather-sight = visibilidad de { $number } pies, límite { $limit } pies
weather-air = índice de calidad del aire { $number }, límite { $limit }
refusal-incident-closed = Este informe está cerrado. Nadie lo cambia más. Puede añadir algo abajo.
refusal-incident-lacks = { $count ->
    [one] Falta escribir una parte. El informe dice cuál.
   *[other] Faltan por escribir { $count } partes. El informe dice cuáles.
}
refusal-incident-not-signed = Nadie ha firmado este informe todavía, o alguien lo cambió después de la firma.
refusal-incident-same-person = Usted firmó primero. Otra persona firma después.
refusal-incident-told-already = Alguien ya anotó que se avisó a la aseguradora.
refusal-incident-too-many-photos = Bastan { $most } fotos para un informe.
refusal-incident-kept = Esta máquina se conserva como está para el informe { $case }. Cierre primero el informe.
refusal-staff-away = { $name } no está hasta el { $day }. Elija a otra persona o pídale que lo retire.
refusal-too-long-away = Los días de ausencia son como máximo un año a la vez.
refusal-too-many-away = Bastan tantas ausencias. Retire primero las viejas.

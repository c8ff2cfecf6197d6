# Inicio, la lista de sesiones y una sesión.
home-title = Cursos de manejo para jóvenes
home-lead = Una mañana o un día con instructores certificados. Prestamos máquinas, cascos y equipo.
home-next = Próximas sesiones
home-all = Ver todas las sesiones
home-how = Cómo funciona
home-how-1 = Elija una sesión cerca de casa para la edad de su niño.
home-how-2 = Inscriba a su niño. De paso crea su cuenta.
home-how-3 = Venga ese día. Su niño maneja con instructores certificados y puede ganar un certificado.
home-staff = Para el personal
home-staff-more = Instructores, ayudantes y la oficina entran aquí.
home-staff-way = Entrar
home-certificate = Para ver si un certificado es real no necesita cuenta.
sessions-title = Sesiones de manejo
sessions-lead = Busque un día que le convenga. Para mirar no necesita cuenta.
sessions-near = Cerca de este condado
sessions-within = A no más de
sessions-miles = { $miles } millas
sessions-near-first = Elija el condado desde donde se mide, o ponga «A no más de» en «Cualquiera»
sessions-not-a-county = Elija un condado de la lista
sessions-not-a-distance = Elija una distancia de la lista
sessions-here = Usar donde estoy
sessions-here-private = Su navegador elige el condado. El lugar donde usted está nunca sale de este aparato.
sessions-here-looking = Buscando dónde está usted. Puede tardar un momento.
sessions-here-chosen = Elegimos el condado de { $county }. Su centro es el más cercano a usted. Ahora toque «Mostrar sesiones».
sessions-here-refused = Este aparato no dice dónde está usted. Elija su condado en la lista.
sessions-here-unknown = No se pudo saber dónde está usted. Elija su condado en la lista.
sessions-county = Condado de la sesión
sessions-age = Edad del niño
sessions-language = Idioma
sessions-month = Mes
sessions-month-of = { $month } de { $year }
sessions-not-a-month = Elija un mes de la lista
sessions-with-seats = Solo con lugares libres
sessions-view = Ver como
sessions-view-list = Lista
sessions-view-map = Mapa
sessions-not-a-view = Elija la lista o el mapa
sessions-sort = Por orden de
sessions-sort-day = Día
sessions-sort-distance = Distancia
sessions-not-an-order = Elija un orden: día o distancia
sessions-from = Las millas se cuentan en línea recta desde el centro del condado de { $county }. El camino es más largo.
session-away = A unas { $miles } millas
session-away-under = A menos de 5 millas
sessions-map-title = Mapa de los condados y sus sesiones
sessions-map-about = El número en un círculo cuenta las sesiones del condado. La tabla de abajo dice lo mismo.
sessions-map-about-near = El número en un círculo cuenta las sesiones del condado. El condado de { $county } tiene un borde más grueso. La tabla de abajo dice lo mismo.
sessions-map-county = { $county }: { $sessions }, { $seats }
sessions-map-count =
    { $count ->
        [one] 1 sesión
       *[other] { $count } sesiones
    }
sessions-map-free = Número de sesiones, hay lugares libres
sessions-map-none-free = Número de sesiones, sin lugares libres
sessions-map-near = El condado que usted eligió
sessions-map-source = Formas: Oficina del Censo de los Estados Unidos, simplificadas. No sirven para medir.
sessions-table = Por condado
sessions-table-county = Condado
sessions-table-sessions = Sesiones
sessions-table-seats = Libres
sessions-table-total = Total
sessions-note-files = Esta lista para otros programas:
sessions-calendar = archivo de calendario
sessions-json = archivo de datos
sessions-any = Cualquiera
sessions-show = Mostrar sesiones
sessions-found =
    { $count ->
        [0] Ninguna sesión coincide
        [one] Una sesión
       *[other] { $count } sesiones
    }
sessions-found-span =
    { $count ->
        [one] Una sesión, { $span }
       *[other] { $count } sesiones, { $span }
    }
sessions-span = del { $from } al { $to }
sessions-none = Ninguna sesión coincide con lo que busca. Pida menos o busque más lejos, o vuelva en unos días.
sessions-none-planned = Ahora no hay ninguna sesión planeada. Vuelva en unos días o llame a la oficina.
sessions-all = Mostrar todas las sesiones
sessions-note-age = La edad cuenta el primer día de la sesión, en años cumplidos.
sessions-note-wait = Una sesión llena tiene lista de espera. Usted ve su turno antes de firmar.
session-county = Condado de { $county }
session-ages = De { $least } a { $most } años
session-taught = Se enseña en { $language }
language-en = inglés
language-es = español
session-seats-free =
    { $count ->
        [one] 1 lugar libre
       *[other] { $count } lugares libres
    }
session-full =
    { $count ->
        [0] Llena, nadie espera
        [one] Llena, 1 espera
       *[other] Llena, { $count } esperan
    }
session-called-off = Cancelada
session-over = Terminada
session-closed = Sin más inscripciones
session-back = Todas las sesiones
session-when = Cuándo
session-where = Dónde
session-who = Quién
session-seats = Lugares
session-taught-label = Idioma
session-course = Curso
session-directions = Cómo llegar
session-zone = { $times }, { $zone }
session-mornings =
    { $count ->
        [one] 1 mañana: { $days }
       *[other] { $count } mañanas: { $days }
    }
session-meetings =
    { $count ->
        [one] 1 día: { $days }
       *[other] { $count } días: { $days }
    }
session-earlier = Antes de la sesión
session-earlier-asked = { $part }. El personal mira el comprobante ese día.
session-earlier-needed = { $part }. Su niño no puede empezar antes de que el personal vea el comprobante.
session-all-meetings = Su niño viene a todos.
session-bring = Qué traer
session-bring-1 = Pantalón largo, camisa de manga larga y zapatos que cubran el tobillo.
session-bring-2 = Guantes, si tiene. Prestamos cascos, gafas y guantes.
session-bring-3 = Agua, algo de comer y ropa para el clima.
session-bring-4 = La medicina que su niño necesite ese día.
session-bring-5 = Un adulto de su lista recoge a su niño.
session-register = Inscribir a un niño
session-waitlist = Entrar en la lista de espera
session-waitlist-more =
    { $place ->
        [1] Todos los lugares están ocupados. Su niño sería el primero de la lista. Le escribimos cuando se libere un lugar. Un turno en la lista aún no es un lugar.
       *[other] Todos los lugares están ocupados. Su niño tendría el turno { $place } de la lista. Le escribimos cuando se libere un lugar. Un turno en la lista aún no es un lugar.
    }
session-minutes = La inscripción toma unos cinco minutos. Sus respuestas se guardan en el camino.
session-closed-more = Esta sesión ya no acepta inscripciones.
session-other-way = Buscar otra sesión
session-caution-title = Antes de inscribir.
session-source = Fuente

# Entrar, y la lista de entradas.
sign-in-title = Entrar
sign-in-notes = Notas
sign-in-email = Correo electrónico
sign-in-password = Contraseña
sign-in-button = Entrar
sign-in-refused-next = Revise los dos datos. En la contraseña cuentan las mayúsculas.
sign-in-demo-lead = Esto es una demostración, solo en esta computadora. Elija quién quiere ser.
sign-in-with-password = O con correo y contraseña
sign-in-note-families = No necesita una cuenta para ver las sesiones. La crea al inscribir a un niño.
sign-in-note-sessions = Ver las sesiones
sign-in-note-certificate = Para saber si un certificado es auténtico no necesita una cuenta.
sign-in-role-guardian = Un padre o una madre
sign-in-role-guardian-does = Inscribe a sus hijos y ve sus certificados.
sign-in-role-guardian-button = Entrar como padre o madre
sign-in-role-instructor = Un instructor
sign-in-role-instructor-does = Dirige el día: llegada, ajuste, destrezas, cascos.
sign-in-role-instructor-button = Entrar como instructor
sign-in-role-helper = Un ayudante
sign-in-role-helper-does = Ayuda en el campo. No ve datos de salud.
sign-in-role-helper-button = Entrar como ayudante
sign-in-role-first_aid = Primeros auxilios
sign-in-role-first_aid-does = Ve de inmediato las alergias y los teléfonos de las familias.
sign-in-role-first_aid-button = Entrar como primeros auxilios
sign-in-role-coordinator = Una coordinadora
sign-in-role-coordinator-does = Planea las sesiones y responde por el informe.
sign-in-role-coordinator-button = Entrar como coordinadora
sign-in-role-grant_manager = Encargado de subvenciones
sign-in-role-grant_manager-does = Lee los informes para quienes pagan.
sign-in-role-grant_manager-button = Entrar como encargado de subvenciones
sign-in-role-administrator = Un administrador
sign-in-role-administrator-does = Personas, reglas y textos del programa.
sign-in-role-administrator-button = Entrar como administrador
sign-ins-title = Sus entradas
sign-ins-lead = Estos navegadores tienen abierta su cuenta. Cierre los que no conozca.
sign-ins-count =
    { $count ->
        [one] Una entrada
       *[other] { $count } entradas
    }
sign-ins-since = Desde
sign-ins-seen = Visto por última vez
sign-ins-end-button = Cerrar
sign-ins-here = (este)
sign-ins-note = Las horas están en UTC, con unos cinco minutos de margen. Una entrada se cierra sola cuando no se usa.
sign-ins-unknown = Navegador desconocido

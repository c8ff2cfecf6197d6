# Entrar.
sign-in-title = Entrar
sign-in-email = Su correo electrónico
sign-in-password = Su contraseña
sign-in-act = Entrar
sign-in-no-account = ¿Aún no tiene cuenta?
sign-in-no-account-note = La hace al inscribir a un niño. Para mirar las sesiones no hace falta.
sign-in-cookie = Cookies de este sitio
sign-in-demo = Pruebe la demostración
sign-in-demo-note = Entre como una de estas personas inventadas. Puede cambiar lo que quiera.
sign-in-demo-only = Estos botones solo están mientras el programa es una demostración, solo en este equipo.
sign-in-as-guardian = Entrar como responsable
sign-in-as-instructor = Entrar como instructor
sign-in-as-helper = Entrar como ayudante
sign-in-as-first-aid = Entrar como primeros auxilios
sign-in-as-coordinator = Entrar como coordinación
sign-in-as-grant-manager = Entrar como gestión de fondos
sign-in-as-administrator = Entrar como administración

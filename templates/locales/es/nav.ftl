# Los caminos en la cabecera de cada página.
nav-sessions = Sesiones
nav-riders = Mis niños
nav-registrations = Mis inscripciones
nav-my-sessions = Mis sesiones
nav-season = Temporada
nav-families = Familias
nav-people = Personas
nav-machines = Máquinas
nav-gear = Equipo y fondos
nav-reports = Informes
nav-program = Programa y reglas
nav-certificates = Comprobar un certificado
nav-sign-in = Entrar

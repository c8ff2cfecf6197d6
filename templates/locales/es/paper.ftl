# Documentos del personal y de los sitios: sus nombres, y por qué uno no vale en un día.
paper-riding = certificación de manejo
paper-first_aid = tarjeta de primeros auxilios
paper-background = verificación de antecedentes
paper-child_protection = curso de protección infantil
paper-owner_permission = permiso del dueño
paper-insurance = seguro
paper-use_permit = permiso de uso del terreno
paper-not-yet = { $paper } (vale desde el { $day })
paper-expired = { $paper } (valió hasta el { $day })
paper-suspended = { $paper } (suspendido desde el { $day })
paper-revoked = { $paper } (retirado el { $day })
paper-missing = { $paper } (falta)

letter-paper-subject = Su { $paper } vence el { $day }
letter-paper-first = { $left ->
    [0] Su { $paper } vale hasta hoy, { $day }.
    [one] Su { $paper } vale hasta el { $day }: queda un día.
   *[other] Su { $paper } vale hasta el { $day }: quedan { $left } días.
}
letter-paper-why = Después de ese día nadie puede asignarle a una sesión que lo pida. También puede perder una sesión posterior a la que ya está asignado.
letter-paper-way = Así están sus documentos, al iniciar sesión:
letter-paper-last = Renuévelo y envíe el nuevo a la oficina, { $phone }. Si ya lo hizo, no hace falta nada más.

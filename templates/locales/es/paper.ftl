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
